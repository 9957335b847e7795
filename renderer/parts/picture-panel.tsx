/** The tomogram with its legend and the few controls that change how it is shown. */
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { AppState, PictureGeometry } from "../../app/contract.ts";
import { createAutoRange, fineSteps } from "../draw/auto-range.ts";
import { createPictureView, type PictureView, SMALLEST_RANGE } from "../draw/picture-view.ts";
import { leftOutThenWords, leftOutWords } from "../text/left-out-words.ts";
import { formatChange } from "../text/quantity.ts";
import { contactWords, words } from "../text/words.ts";
import { BandChoice } from "./band-choice.tsx";
import { Choice } from "./choice.tsx";
import { Icon } from "./icon.tsx";
import { Legend } from "./legend.tsx";
import { useAppState, useModel, usePreferences, useSubscription } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { ScaleLock } from "./scale-lock.tsx";

export function PicturePanel({ isSimulated }: { readonly isSimulated: boolean }) {
	const model = useModel();
	const { feed, frames, theme } = model;
	const state = useAppState();
	const [preferences, setPreferences] = usePreferences();
	useSubscription(feed.onGeometry);
	const [, setRangeTold] = useState(0);
	const geometry = feed.geometry;
	const unit = geometry?.unit ?? "S/m";
	const range = useMemo(() => createAutoRange(SMALLEST_RANGE[unit], fineSteps), [unit]);
	const host = useRef<HTMLDivElement>(null);
	const view = useRef<PictureView | null>(null);

	useEffect(() => {
		const created = createPictureView(host.current!, feed, frames, theme, range, () =>
			setRangeTold((told) => told + 1),
		);
		view.current = created;
		return () => {
			view.current = null;
			created.dispose();
		};
	}, [feed, frames, theme, range]);

	const contacts = state.replay === null ? state.contacts : [];
	const leftOut = state.replay === null ? state.leftOut : state.replay.leftOut;
	const lost = leftOut?.electrodes.map(({ number }) => number) ?? [];
	const lostKey = lost.join();
	const contactKey = contacts.map((contact) => contact.verdict).join();
	const { scale, mirrored, largeView } = preferences;
	// A tank has no foot and no hip: it is drawn as it was measured.
	const hasSides = geometry?.side !== null;
	// Contacts come anew with each state; the key holds what is drawn of them.
	useEffect(() => {
		view.current?.set({ scale, mirrored: mirrored && hasSides, contacts, leftOut: lost, isLarge: largeView });
	}, [scale, mirrored, hasSides, largeView, contactKey, lostKey, range]);

	return (
		<section class="panel picture-panel" aria-label={words.picture.title}>
			<header class="panel-head">
				<div>
					<h2>{placeName(geometry, state.setup.limb.side)}</h2>
					<p class="panel-sub">
						{words.picture.title}
						{isSimulated && <span class="tag tag-simulated tag-after">{words.status.simulated}</span>}
					</p>
				</div>
				<div class="panel-tools">
					<BandChoice />
					{hasSides && (
						<Choice
							label={words.picture.mirror}
							options={[
								{ value: false, text: words.picture.foot },
								{ value: true, text: words.picture.hip },
							]}
							value={mirrored}
							onChoose={(next) => setPreferences({ mirrored: next })}
						/>
					)}
					<Choice
						label={words.picture.scale}
						options={[
							{ value: "change", text: words.picture.scaleChange },
							{ value: "size", text: words.picture.scaleSize },
						]}
						value={scale}
						onChoose={(next) => setPreferences({ scale: next })}
					/>
				</div>
			</header>
			<div class="picture-body">
				<div
					ref={host}
					class="picture-host"
					role="img"
					aria-label={words.picture.canvas(
						formatChange(range.value, unit),
						geometry?.regions
							.filter((region) => region.trendIndex !== null)
							.map((region) => region.name)
							.join(", ") ?? "",
					)}
				>
					{geometry === null && <p class="picture-waiting">{waitingWords(state)}</p>}
				</div>
				<aside class="picture-side">
					<Legend scale={scale} range={range.value} unit={unit} />
					<p class="legend-note">{words.picture.standsOut}</p>
					<ScaleLock range={range} />
				</aside>
			</div>
			<footer class="panel-foot">
				{feed.fault !== null ? (
					<FaultNote fault={feed.fault} />
				) : leftOut !== null ? (
					<p class="contact-line contact-trouble" role="status">
						<Icon name="caution" />
						{state.replay === null ? leftOutWords(leftOut) : leftOutThenWords(leftOut)}
					</p>
				) : state.replay !== null ? null : (
					<p class={isTroubled(contactKey) ? "contact-line contact-trouble" : "contact-line"}>
						<Icon name={isTroubled(contactKey) ? "caution" : "info"} />
						{contactWords(contacts)}
					</p>
				)}
			</footer>
		</section>
	);
}

function waitingWords(state: AppState): string {
	return state.picture.state === "preparing"
		? words.live.preparingStep(state.picture.step)
		: words.live.waiting;
}

function placeName(geometry: PictureGeometry | null, setUpSide: "left" | "right"): string {
	const side = geometry === null ? setUpSide : geometry.side;
	if (side === null) return words.picture.tank;
	return side === "left" ? words.picture.leftThigh : words.picture.rightThigh;
}

function isTroubled(contactKey: string): boolean {
	return contactKey.includes("poor") || contactKey.includes("off");
}
