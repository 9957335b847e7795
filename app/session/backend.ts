/** The whole app behind the contract, free of hosts: both hosts, the command line and tests drive this object. */
import { join } from "node:path";
import { cautions } from "../../core/safety/cautions.ts";
import type { AppState, Fault, Reply, RequestName, SourceChoice } from "../contract.ts";
import { createModelBuilder } from "../pipeline/model-builder.ts";
import { createPictureStream, type Picture } from "../pipeline/picture-stream.ts";
import { createSharedStream } from "../pipeline/shared-stream.ts";
import { createVolumeBuilder } from "../pipeline/volume-builder.ts";
import { openStore, type StoreOptions } from "../store/store.ts";
import { APP_VERSION } from "./app-version.ts";
import { createAveragePictures } from "./average-pictures.ts";
import { type Clock, systemClock } from "./clock.ts";
import { createCurrentLimit } from "./current-limit.ts";
import { isDemoStore } from "./demo/demo-clinic.ts";
import { createExportDesk } from "./export-desk.ts";
import { createGeometries } from "./geometries.ts";
import { createHome } from "./home.ts";
import { recallBand } from "./last-band.ts";
import { createLive } from "./live.ts";
import { createPersonKeeper } from "./person-keeper.ts";
import { createProfileDesk } from "./profile-desk.ts";
import { onlyRecords, type RecordsSwitch } from "./records-switch.ts";
import { createReplayDesk } from "./replay-desk.ts";
import { dispatch } from "./request-dispatch.ts";
import { createGate } from "./request-gate.ts";
import { createHandlers } from "./request-handlers.ts";
import { createSetUp } from "./set-up.ts";
import { createSignalCheck } from "./signal-check.ts";
import { createSources, type SourceFactory, type Sources } from "./sources.ts";
import { createStateFeed } from "./state-feed.ts";
import { createStudyDesk } from "./study-desk.ts";
import { collectVolumeMeans } from "./volume-means.ts";
import { createWorkPlace } from "./work-place.ts";

export interface Backend {
	/** Validates the argument, does the work and answers; never rejects. An abort settles with `cancelled`.
	 *  @param records number of the records that are meant; those that are open when left out */
	request<K extends RequestName>(
		name: K,
		argument: unknown,
		signal?: AbortSignal,
		records?: number,
	): Promise<Reply<K>>;
	/** A fresh value at each change, so that two can be compared by identity. */
	state(): AppState;
	/** Told on every change, at most ten times a second. @returns what ends it. */
	onState(listener: (state: AppState) => void): () => void;
	/** @returns what ends it. */
	onPicture(listener: PictureListener): () => void;
	/** Whole volume pictures are among the packets until the returned function is called. */
	watchVolume(): () => void;
	/** Stops recording and the board's link, writes what is unwritten, ends the workers. Safe twice. */
	dispose(): Promise<void>;
}

/** @param packet `core/wire/picture-packet.ts`, valid during the call only
 *  @param isVolume whether it is of a volume or of a section */
export type PictureListener = (packet: ArrayBuffer, isVolume: boolean) => void;

export interface BackendOptions {
	/** Made when missing. */
	readonly dataFolder: string;
	/** `tautline.sqlite` in the data folder when left out. */
	readonly databasePath?: string;
	/** What to connect to at once: a choice of the contract, a source of one's own (such as a board on a path that was
	 *  typed on a command line), or null for nothing. The simulated band's tour when left out. */
	readonly source?: SourceChoice | SourceFactory | null;
	readonly clock?: Clock;
	readonly sources?: Sources;
	/** Serial devices that are offered besides those that are found, such as a pseudo-terminal. */
	readonly serialPaths?: readonly string[];
	/** Where the workers' code lies when it is bundled. */
	readonly workerFolder?: URL;
	readonly migrationsFolder?: string;
	/** How other records are opened in the place of these; not at all when left out. */
	readonly recordsSwitch?: RecordsSwitch;
}

export const firstSource = {
	kind: "simulated",
	scenario: "tour",
	seed: 1,
	framesPerSecond: 30,
	bandCount: 1,
	electrodeCount: 16,
	corruptShare: 0,
	dropShare: 0,
} as const satisfies SourceChoice;

export function createBackend(options: BackendOptions): Backend {
	const clock = options.clock ?? systemClock;
	const pictureListeners = new Set<PictureListener>();
	let storeFault: Fault | null = null;
	let workerFault: Fault | null = null;
	let disposal: Promise<void> | null = null;
	let volumeWatchers = 0;
	let volumeWatchesBegun = 0;

	const opened = openStore({ ...storeOptions(options, clock, setStoreFault), onRecovered: onStoreRecovered });
	const store = opened.ok ? opened.value : null;
	const isDemo = store !== null && isDemoStore(store);
	const recordsSwitch = options.recordsSwitch ?? onlyRecords;
	if (!opened.ok) storeFault = opened.error;
	const feed = createStateFeed(compose, clock);
	const builder = createModelBuilder(workerUrl(options, "model-worker"));
	const studyBuilder = createModelBuilder(workerUrl(options, "model-worker"), false);
	const stream = createPictureStream(workerUrl(options, "picture-worker"), { onPicture, onFailure });
	const volumeBuilder = createVolumeBuilder(
		workerUrl(options, "volume-worker"),
		join(options.dataFolder, "models"),
	);
	const volumeStream = createSharedStream(workerUrl(options, "picture-worker"));
	const geometries = createGeometries();
	const setUp = createSetUp(store);
	const currentLimit = createCurrentLimit(store);
	const sources =
		options.sources ?? createSources({ ...options, workingLimitAmpere: () => currentLimit.ampere });
	const profiles = createProfileDesk(store, () => storeFault);
	const parts = {
		builder,
		stream,
		geometries,
		clock,
		setUp,
		storeFault: () => storeFault,
		onChange: () => feed.changed(),
	};
	const live = createLive({
		...parts,
		store,
		isBusy: () => place.busyWith !== null,
		volume: {
			builder: volumeBuilder,
			createStream: volumeStream.open,
			onPacket(packet) {
				if (replays.current === null) showPacket(packet, true);
			},
		},
		follower: {
			onMeans: (result, means) => place.onMeans(result, means),
			onBreak: (fault) => place.onBreak(fault),
			onOtherBoard: () => place.onOtherBoard(),
		},
		watcher: {
			onFrame: (band, frame) => check.onFrame(band, frame),
			onContacts: (band) => check.onContacts(band),
			onBand: (band) => check.onBand(band),
			onLink: (state) => check.onLink(state),
			onWornAnew: () => check.onWornAnew(),
		},
		workingLimitAmpere: () => currentLimit.ampere,
		checkResult: () => check.result,
	});
	const home = createHome({ store, clock, dataFolder: options.dataFolder, onChange: parts.onChange });
	const place = createWorkPlace({
		...parts,
		store,
		live,
		isAtHome: () => home.state !== null,
		asked: sources.asked,
	});
	const check = createSignalCheck({
		...parts,
		store,
		live,
		asked: sources.asked,
		isBusy: () => place.busyWith !== null,
	});
	const gate = createGate({ home: () => home.state, busyWith: () => place.busyWith });
	const replays = createReplayDesk({
		...parts,
		store,
		onFault: setStoreFault,
		volume: {
			builder: volumeBuilder,
			createStream: volumeStream.open,
			isWatched: () => volumeWatchers > 0,
			watchesBegun: () => volumeWatchesBegun,
			onPacket: (packet) => showPacket(packet, true),
		},
	});
	const averages = store === null ? null : createAveragePictures({ ...parts, store });
	const keeper = store === null ? null : createPersonKeeper({ ...parts, store, live, replays });
	const stopSwitch = recordsSwitch.onChange(parts.onChange);
	const exports = createExportDesk((store, sessionId, onShare, signal) =>
		collectVolumeMeans(
			{ store, clock, builder: volumeBuilder, createStream: volumeStream.open },
			sessionId,
			onShare,
			signal,
		),
	);
	const handlers = createHandlers({
		...parts,
		isDemo,
		recordsSwitch,
		store,
		averages,
		keeper,
		live,
		studies: createStudyDesk({ live, setUp, builder: studyBuilder }),
		check,
		currentLimit,
		place,
		home,
		replays,
		sources,
		profiles,
		exports,
		onStoreFault: setStoreFault,
		state: () => feed.state(),
	});
	connectFirst();
	void keeper?.sweep().then((swept) => {
		if (!swept.ok && swept.error.kind !== "cancelled") setStoreFault(swept.error);
	});

	function setStoreFault(fault: Fault): void {
		storeFault = fault;
		feed.changed();
	}

	/** What has been told since may be another trouble. */
	function onStoreRecovered(fault: Fault): void {
		if (storeFault !== fault) return;
		storeFault = null;
		feed.changed();
	}

	function onPicture(picture: Picture): void {
		if (averages?.take(picture) === true) return;
		const isForScreen = live.take(picture)
			? replays.current === null && live.isSelected(picture.parts.bandIndex)
			: replays.take(picture);
		if (isForScreen) showPacket(picture.packet, false);
	}

	function showPacket(packet: ArrayBuffer, isVolume: boolean): void {
		for (const listener of pictureListeners) listener(packet, isVolume);
	}

	function onFailure(detail: string): void {
		workerFault = { kind: "internal", detail };
		feed.changed();
	}

	function connectFirst(): void {
		const { electrodeCount } = setUp.limbAndBand.band;
		// The demo's people are invented: so is their band.
		const last = store === null || isDemo ? null : recallBand(store, sources);
		const wanted =
			options.source === undefined ? (last ?? { ...firstSource, electrodeCount }) : options.source;
		if (wanted === null) return;
		if (typeof wanted === "function") {
			void live.connect(null, wanted);
			return;
		}
		const source = sources.find(wanted, setUp.limbAndBand, profiles.find);
		if (source.ok) void live.connect(wanted, source.value);
	}

	function compose(): AppState {
		const replay = replays.current;
		return {
			appVersion: APP_VERSION,
			...recordsState(),
			dataFolder: options.dataFolder,
			storeFault,
			cautions: { version: cautions.version, acknowledged: setUp.isAcknowledged },
			check: check.state,
			currentLimit: currentLimit.state,
			setup: { person: setUp.person, ...setUp.limbAndBand, places: live.places },
			...live.state(),
			picture:
				workerFault === null ? (replay?.picture ?? live.picture) : { state: "failed", fault: workerFault },
			volume: (replay ?? live).volume.state,
			replay: replay?.state ?? null,
			...place.state(),
			home: home.state,
		};
	}

	/** A demo is not offered on top of a demo that was opened as the app's own records. */
	function recordsState(): Pick<AppState, "records" | "demo"> {
		const { records, demo } = recordsSwitch.state();
		return { records: { ...records, isDemo }, demo: isDemo && !records.hasOwnBehind ? null : demo };
	}

	async function disposeAll(): Promise<void> {
		stopSwitch();
		replays.close();
		exports.dispose();
		averages?.dispose();
		keeper?.dispose();
		// The board's current first, then what is unwritten, then the threads.
		const steps = [
			() => check.dispose(),
			() => place.leave(),
			() => live.dispose(),
			() => store?.dispose(),
			() => builder.dispose(),
			() => studyBuilder.dispose(),
			() => stream.dispose(),
			() => volumeBuilder.dispose(),
			() => volumeStream.dispose(),
		];
		const failures: unknown[] = [];
		for (const step of steps) {
			try {
				await step();
			} catch (error) {
				failures.push(error);
			}
		}
		feed.dispose();
		pictureListeners.clear();
		if (failures.length > 0) throw new AggregateError(failures, "not everything could be ended cleanly");
	}

	return {
		request: (name, argument, signal) => dispatch(handlers, gate, name, argument, signal),
		state: () => feed.state(),
		onState: (listener) => feed.subscribe(listener),
		onPicture(listener) {
			pictureListeners.add(listener);
			return () => pictureListeners.delete(listener);
		},
		watchVolume() {
			const end = live.volume.watch();
			let isEnded = false;
			volumeWatchers++;
			volumeWatchesBegun++;
			return () => {
				if (!isEnded) volumeWatchers--;
				isEnded = true;
				end();
			};
		},
		dispose() {
			disposal ??= disposeAll();
			return disposal;
		},
	};
}

function storeOptions(options: BackendOptions, clock: Clock, onFault: (fault: Fault) => void): StoreOptions {
	const { dataFolder, databasePath, migrationsFolder } = options;
	return {
		path: databasePath ?? join(dataFolder, "tautline.sqlite"),
		mode: "create",
		appVersion: APP_VERSION,
		// The person is told first; the next start begins a new file beside the one that was put aside.
		whenCorrupt: "set-aside",
		now: () => clock.now(),
		timers: {
			setInterval: (run, milliseconds) => clock.every(milliseconds, run),
			clearInterval: (stop) => (stop as () => void)(),
		},
		onFault,
		...(migrationsFolder === undefined ? {} : { migrationsFolder }),
	};
}

/** Beside their sources, or where a bundle has put them. */
function workerUrl(
	{ workerFolder }: BackendOptions,
	name: "model-worker" | "picture-worker" | "volume-worker",
): URL {
	return workerFolder === undefined
		? new URL(`../pipeline/${name}.ts`, import.meta.url)
		: new URL(`${name}.js`, workerFolder);
}
