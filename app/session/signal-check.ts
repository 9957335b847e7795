/** The guided signal check: leads from a link to a rest baseline, one step after the other, and keeps what it found. */
import { failure, type Result, success } from "../../core/result.ts";
import {
	type CheckFinding,
	type CheckResult,
	type CheckStatus,
	type CheckStep,
	type CheckStepId,
	canPassOver,
	checkSteps,
	judgeFinding,
} from "../../core/signal/signal-check.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { CheckState, Fault } from "../contract.ts";
import type { AskedEffort } from "../link/simulated/follower.ts";
import { toRfc3339 } from "../store/date-time.ts";
import type { Store } from "../store/store.ts";
import type { Clock } from "./clock.ts";
import { createLastCheck } from "./last-check.ts";
import type { Live, SignalWatcher } from "./live.ts";
import type { LiveBand } from "./live-band.ts";
import type { SetUp } from "./set-up.ts";
import { createRangeKeeper } from "./signal-check-range-keeper.ts";
import { createRangeFinder } from "./signal-check-ranging.ts";
import { createCheckSteps } from "./signal-check-steps.ts";
import { refuseUntold } from "./told-cautions.ts";

export interface SignalCheck extends SignalWatcher {
	readonly state: CheckState;
	/** To be kept with a session that begins now; null for none. */
	readonly result: CheckResult | null;
	start(from: CheckStepId | null): Result<null, Fault>;
	passOver(): Result<null, Fault>;
	stop(): void;
	rangeAgain(): Promise<Result<null, Fault>>;
	/** Another limb or person was set up, while the board stayed as it is. */
	onLimbChanged(): void;
	onLimitChanged(): void;
	dispose(): void;
}

export interface SignalCheckParts {
	readonly clock: Clock;
	readonly live: Live;
	readonly setUp: SetUp;
	readonly store: Store | null;
	/** Somebody works with the band. */
	readonly isBusy: () => boolean;
	/** Where a simulated person reads that they should sit still. */
	readonly asked: AskedEffort;
	readonly onChange: () => void;
}

/** While an electrode is being pressed on, its contact is asked for so often. */
const ASK_AGAIN_MS = 2000;

interface Run {
	readonly statuses: CheckStatus[];
	readonly findings: (CheckFinding | null)[];
	readonly startedAt: number;
	/** Null while it waits for somebody, and at its end. */
	controller: AbortController | null;
}

export function createSignalCheck(parts: SignalCheckParts): SignalCheck {
	const { clock, live, setUp, onChange } = parts;
	const finder = createRangeFinder({ clock, live });
	const ranges = createRangeKeeper({
		clock,
		live,
		finder,
		onChange,
		isHeld: () => live.isRecording || parts.isBusy() || isRunning() || live.isTakingBaseline,
	});
	const steps = createCheckSteps({ clock, live, setUp, ranges });
	const last = createLastCheck({ clock, live, setUp, store: parts.store });
	let run: Run | null = null;
	let stopAsking: (() => void) | null = null;

	function isRunning(): boolean {
		return run !== null && run.controller !== null;
	}

	/** At which step it waits for somebody; null while it runs and at its end. */
	function stoppedAt(): CheckStepId | null {
		if (run === null || run.controller !== null) return null;
		return checkSteps[run.statuses.indexOf("stopped")] ?? null;
	}

	function sitStill(isAsked: boolean): void {
		const { stillness } = parts.asked;
		if (stillness !== undefined) stillness[0] = isAsked ? 1 : 0;
	}

	async function lead(own: Run, from: number): Promise<void> {
		own.controller?.abort();
		const controller = new AbortController();
		own.controller = controller;
		stopAsking?.();
		stopAsking = null;
		own.statuses.fill("waiting", from);
		if (live.isSimulated) sitStill(true);
		for (let i = from; i < checkSteps.length; i++) {
			own.statuses[i] = "running";
			onChange();
			const finding = await steps.measure(checkSteps[i]!, controller.signal);
			if (own.controller !== controller) return;
			own.findings[i] = finding;
			own.statuses[i] = finding === null ? "stopped" : judgeFinding(finding);
			if (own.statuses[i] === "stopped") break;
		}
		own.controller = null;
		sitStill(false);
		if (own.statuses.includes("stopped")) waitForPerson();
		else last.keep({ endedAt: toRfc3339(clock.now()), seconds: secondsOf(own), steps: stepsOf(own) });
		onChange();
	}

	/** Contact that is mended goes on by itself: whoever presses an electrode has no hand free. */
	function waitForPerson(): void {
		if (stoppedAt() !== "contact") return;
		stopAsking = clock.every(ASK_AGAIN_MS, () => {
			if (stoppedAt() === "contact" && live.linkState.state === "streaming") {
				void live.send({ command: "contact-check" });
			}
		});
	}

	function secondsOf(own: Run): number {
		return Math.max(0, clock.now() - own.startedAt) / 1000;
	}

	function refuse(): Result<never, Fault> | null {
		if (live.isRecording) return failure({ kind: "already-recording" });
		return live.isSimulated || parts.store === null ? null : refuseUntold(parts.store, setUp.person);
	}

	function stop(): void {
		run?.controller?.abort();
		stopAsking?.();
		stopAsking = null;
		if (run !== null && (run.controller !== null || run.statuses.includes("stopped"))) {
			run.controller = null;
			run = null;
		}
		sitStill(false);
		onChange();
	}

	function forget(): void {
		stop();
		run = null;
		last.forget();
	}

	return {
		get state() {
			const at = stoppedAt();
			const finding = run === null || at === null ? null : run.findings[checkSteps.indexOf(at)]!;
			return {
				isDue: live.linkState.state === "streaming" && !isRunning() && last.result === null,
				run:
					run === null
						? null
						: {
								isRunning: isRunning(),
								steps: stepsOf(run),
								mayPassOver: finding !== null && canPassOver(finding),
							},
				last: last.result,
				ranging: ranges.state,
			};
		},
		get result() {
			return last.result;
		},
		start(from) {
			const refused = refuse();
			if (refused !== null) return refused;
			const first = from === null ? 0 : checkSteps.indexOf(from);
			// A step needs those before it.
			const isReady = run?.statuses.slice(0, first).every((status) => isDone(status)) ?? false;
			if (first > 0 && !isReady) {
				const expected = "a step whose earlier steps are done";
				return failure({ kind: "invalid-argument", path: "from", expected, got: checkSteps[first]! });
			}
			if (first === 0) {
				run?.controller?.abort();
				run = {
					statuses: checkSteps.map(() => "waiting"),
					findings: checkSteps.map(() => null),
					startedAt: clock.now(),
					controller: null,
				};
			}
			void lead(run!, first);
			return success(null);
		},
		passOver() {
			const at = stoppedAt();
			const index = at === null ? -1 : checkSteps.indexOf(at);
			const finding = run?.findings[index] ?? null;
			if (run === null || finding === null || !canPassOver(finding)) {
				const expected = "a check that stopped where one may go on";
				return failure({ kind: "invalid-argument", path: "", expected, got: at ?? "none" });
			}
			run.statuses[index] = "passed-over";
			void lead(run, index + 1);
			return success(null);
		},
		stop,
		async rangeAgain() {
			if (live.linkState.state !== "streaming") return failure({ kind: "not-connected" });
			const bands = await ranges.run("asked");
			return bands === null ? failure({ kind: "cancelled" }) : success(null);
		},
		onLimbChanged() {
			run?.controller?.abort();
			run = null;
			ranges.want("limb-changed");
			onChange();
		},
		onLimitChanged: () => ranges.want("limit-changed"),
		onFrame(band: LiveBand, frame: Frame) {
			finder.onFrame(band, frame);
			steps.onFrame(band, frame);
			ranges.onFrame(band, frame);
		},
		onContacts(band) {
			steps.onContacts(band);
			if (run === null || stoppedAt() !== "contact") return;
			const index = checkSteps.indexOf("contact");
			const finding = steps.contactFinding();
			run.findings[index] = finding;
			if (judgeFinding(finding) !== "stopped") void lead(run, index);
			onChange();
		},
		onBand(band) {
			finder.onBand(band);
			steps.onBand();
		},
		onLink(state) {
			steps.onLink();
			if (state.state === "streaming") {
				if (run !== null && stoppedAt() === "link") void lead(run, 0);
				return;
			}
			ranges.forget();
			const isOver = run === null || (run.controller === null && !run.statuses.includes("stopped"));
			if (run === null || isOver || run.statuses[0] === "running") return;
			// What comes after a break may be another board.
			run.controller?.abort();
			run.controller = null;
			run.statuses.fill("waiting");
			run.findings.fill(null);
			run.statuses[0] = "stopped";
			run.findings[0] = { step: "link", isStreaming: false };
			sitStill(false);
			onChange();
		},
		onWornAnew: forget,
		dispose() {
			stop();
			ranges.forget();
		},
	};
}

function isDone(status: CheckStatus): boolean {
	return status === "good" || status === "advice" || status === "passed-over";
}

function stepsOf({ statuses, findings }: Run): CheckStep[] {
	return checkSteps.map((id, i) => ({ id, status: statuses[i]!, finding: findings[i]! }));
}
