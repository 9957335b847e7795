/** What each request of the contract does. Short: the work is done by the parts. */
import { failure, type Result, success } from "../../core/result.ts";
import type { AppState, Fault } from "../contract.ts";
import type { ModelBuilder } from "../pipeline/model-builder.ts";
import type { Store } from "../store/store.ts";
import type { AveragePictures } from "./average-pictures.ts";
import type { Clock } from "./clock.ts";
import type { CurrentLimit } from "./current-limit.ts";
import { createExerciseHandlers } from "./exercise-handlers.ts";
import type { ExportDesk } from "./export-desk.ts";
import type { Geometries } from "./geometries.ts";
import type { Home } from "./home.ts";
import { importRecording } from "./import-recording.ts";
import { rememberBand } from "./last-band.ts";
import type { Live } from "./live.ts";
import type { PersonKeeper } from "./person-keeper.ts";
import type { ProfileDesk } from "./profile-desk.ts";
import { createRecordHandlers } from "./record-handlers.ts";
import type { RecordsSwitch } from "./records-switch.ts";
import type { ReplayDesk } from "./replay-desk.ts";
import type { RequestHandlers } from "./request-dispatch.ts";
import type { SetUp } from "./set-up.ts";
import type { SignalCheck } from "./signal-check.ts";
import type { Sources } from "./sources.ts";
import type { StudyDesk } from "./study-desk.ts";
import type { WorkPlace } from "./work-place.ts";

export interface HandlerParts {
	readonly state: () => AppState;
	readonly live: Live;
	readonly check: SignalCheck;
	readonly currentLimit: CurrentLimit;
	readonly replays: ReplayDesk;
	readonly place: WorkPlace;
	readonly home: Home;
	readonly setUp: SetUp;
	readonly sources: Sources;
	readonly profiles: ProfileDesk;
	readonly geometries: Geometries;
	readonly exports: ExportDesk;
	readonly studies: StudyDesk;
	readonly builder: ModelBuilder;
	readonly clock: Clock;
	/** Everybody in the records is invented. */
	readonly isDemo: boolean;
	readonly recordsSwitch: RecordsSwitch;
	readonly store: Store | null;
	/** Null without a store, as the next. */
	readonly averages: AveragePictures | null;
	readonly keeper: PersonKeeper | null;
	/** Why there is no store. */
	readonly storeFault: () => Fault | null;
	readonly onStoreFault: (fault: Fault) => void;
	readonly onChange: () => void;
}

export function createHandlers(parts: HandlerParts): RequestHandlers {
	const {
		live,
		check,
		currentLimit,
		replays,
		setUp,
		sources,
		profiles,
		geometries,
		studies,
		clock,
		onChange,
	} = parts;
	/** Of what is on the screen. */
	const volume = () => (replays.current ?? live).volume;

	function withStore<T>(work: (store: Store) => T): T | { readonly ok: false; readonly error: Fault } {
		if (parts.store !== null) return work(parts.store);
		return failure(parts.storeFault() ?? { kind: "internal", detail: "no store" });
	}

	/** Answers `ok` and tells the pages that the state is another. */
	function changed(outcome: Result<null, Fault>): Result<null, Fault> {
		onChange();
		return outcome;
	}

	/** Pictures of the new limb. The simulated person is the one who was set up: her board starts afresh on it, which
	 *  makes its own models. */
	function followSetUp(): Result<null, Fault> {
		const { source } = live.state();
		if (source?.kind !== "simulated") {
			live.prepareAgain();
			check.onLimbChanged();
			return success(null);
		}
		const { electrodeCount } = setUp.limbAndBand.band;
		const choice = { ...source, electrodeCount };
		const found = sources.find(choice, setUp.limbAndBand, profiles.find);
		if (!found.ok) return found;
		void live.connect(choice, found.value);
		return success(null);
	}

	/** The board is told first: once the limit is lower, what it drives must be too. */
	async function changeLimit(milliamp: number | null): Promise<Result<null, Fault>> {
		const lowered = milliamp ?? Number.POSITIVE_INFINITY;
		for (const { bandIndex, configuration } of live.bands.values()) {
			if (configuration.currentMilliamp <= lowered) continue;
			await live.send({ command: "set-current", milliamp: lowered, bandIndex });
		}
		const changed = currentLimit.change(milliamp);
		if (!changed.ok) return changed;
		// One that did not do as it was told is stopped, and the link says why.
		live.enforceLimit();
		check.onLimitChanged();
		onChange();
		return success(null);
	}

	return {
		getState: () => success(parts.state()),
		acknowledgeCautions: ({ version }) => changed(setUp.acknowledge(version)),
		listPorts: () => sources.listPorts(),
		async connect(choice) {
			// One recording is of one board: frames of another must not run into it.
			if (live.isRecording) return failure({ kind: "already-recording" });
			if (choice.kind !== "simulated" && parts.isDemo) return failure({ kind: "demo-records" });
			if (choice.kind !== "simulated" && !setUp.isAcknowledged) {
				return failure({ kind: "cautions-not-acknowledged" });
			}
			const source = sources.find(choice, setUp.limbAndBand, profiles.find);
			if (!source.ok) return source;
			const connected = await live.connect(choice, source.value);
			if (connected.ok && parts.store !== null && !parts.isDemo) {
				const kept = rememberBand(parts.store, sources, choice);
				// The band is there: that the next start will not know it is told, and no reason to refuse it.
				if (!kept.ok) parts.onStoreFault(kept.error);
			}
			return connected;
		},
		disconnect: () => live.disconnect().then(() => success(null)),
		listProfiles: () => profiles.list(),
		saveProfile: ({ profile }) => profiles.save(profile),
		deleteProfile: ({ profile }) => profiles.remove(profile),
		async captureLines(wish, signal) {
			const captured = await sources.capture(wish, signal);
			return captured.ok ? success({ text: captured.value }) : captured;
		},
		playLog({ fileName, text, profile, framesPerSecond }) {
			if (live.isRecording) return failure({ kind: "already-recording" });
			if (parts.isDemo) return failure({ kind: "demo-records" });
			const found = profiles.find(profile);
			if (!found.ok) return found;
			return live.connect(null, sources.playing(fileName, text, found.value, framesPerSecond));
		},
		sendCommand: (command) => live.send(command),
		startCheck: ({ from }) => check.start(from),
		passOverCheck: () => check.passOver(),
		stopCheck() {
			check.stop();
			return success(null);
		},
		rangeAgain: () => check.rangeAgain(),
		setCurrentLimit: ({ milliamp }) => changeLimit(milliamp),
		takeBaseline: ({ seconds }, signal) => live.takeBaseline(seconds, signal),
		setPrior(settings) {
			const saved = setUp.changePictureSettings(settings);
			if (!saved.ok) return saved;
			live.prepareAgain();
			replays.current?.changeSettings(settings);
			return changed(saved);
		},
		setRestFollowing(next) {
			const saved = setUp.changeRestFollowing(next);
			if (saved.ok) live.noteRestFollowing();
			return changed(saved);
		},
		studyBand: (wish, signal) => studies.band(wish, signal),
		studyFat: (wish, signal) => studies.fat(wish, signal),
		getStrength: () => studies.strength(),
		tryStrength: (wish, signal) => studies.tryStrength(wish, signal),
		selectBand({ bandIndex }) {
			const replay = replays.current;
			if (replay === null) return live.selectBand(bandIndex);
			replay.selectBand(bandIndex);
			return changed(success(null));
		},

		listPeople: (wish) => withStore((store) => store.listPeople(wish?.includeArchived ?? false)),
		savePerson: (person) =>
			withStore((store) => {
				const saved = store.savePerson(person);
				setUp.refreshPerson();
				onChange();
				return saved;
			}),
		setUp(next) {
			// What runs belongs to the limb that it began with.
			if (live.isRecording) return failure({ kind: "already-recording" });
			const before = JSON.stringify(setUp.limbAndBand);
			const saved = setUp.change(next);
			if (!saved.ok || JSON.stringify(setUp.limbAndBand) === before) return changed(saved);
			return changed(followSetUp());
		},

		startRecording: ({ title }) => live.startRecording(title),
		stopRecording: () => live.stopRecording(),
		listSessions: (filter) => withStore((store) => store.listSessions(filter)),
		saveSessionNotes: (notes) =>
			withStore((store) => {
				const saved = store.saveSessionNotes(notes);
				if (replays.current?.sessionId === notes.sessionId) replays.current.refreshSummary();
				return saved;
			}),
		exportSession: (wish) => withStore((store) => parts.exports.open(store, wish)),
		readExport: ({ exportId }, signal) => parts.exports.read(exportId, signal),
		importRecording: ({ fileName, text }, signal) =>
			withStore((store) =>
				importRecording({ builder: parts.builder, store, clock, setUp }, fileName, text, signal),
			),

		openReplay: ({ sessionId }) => replays.open(sessionId),
		controlReplay: (wish) => replays.current?.control(wish) ?? noReplay,
		closeReplay() {
			replays.close();
			return success(null);
		},
		getReplayTrends: (wish) => replays.current?.trends(wish) ?? noReplay,
		getGeometry({ geometryId }) {
			const geometry = geometries.get(geometryId);
			if (geometry !== null) return success(geometry);
			const expected = "the number of a picture that is or was just shown";
			return failure({ kind: "invalid-argument", path: "geometryId", expected, got: String(geometryId) });
		},
		getLiveTrends: ({ seconds }) => success(live.trends(seconds)),
		startVolume() {
			volume().start();
			return success(null);
		},
		stopVolume() {
			volume().stop();
			return success(null);
		},
		getVolumeGeometry({ geometryId }) {
			const geometry = volume().geometry(geometryId);
			if (geometry !== null) return success(geometry);
			const expected = "the number of the volume picture that is shown";
			return failure({ kind: "invalid-argument", path: "geometryId", expected, got: String(geometryId) });
		},
		// a replay's lines are of the whole session: `getReplayTrends`
		getVolumeTrends: ({ seconds }) =>
			success(
				replays.current === null ? live.volume.trends(seconds) : { regions: [], seconds: [], values: [] },
			),
		...createRecordHandlers(parts),
		...createExerciseHandlers({ ...parts, followSetUp }),
		openDemo: ({ anew }) => parts.recordsSwitch.openDemo(anew),
		cancelDemo: () => parts.recordsSwitch.cancelDemo(),
		closeDemo: () => parts.recordsSwitch.closeDemo(),
	};
}

const noReplay = failure<Fault>({
	kind: "invalid-argument",
	path: "",
	expected: "a session to be open in replay",
	got: "none",
});
