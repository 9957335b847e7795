/** All that waits for the next transaction of a recording. */
import type { KeptConfiguration } from "./configuration-book.ts";
import { FrameBatch } from "./frame-batch.ts";
import type { NewBaseline, SessionEvent, StoredContacts, TrendSeries } from "./records.ts";
import type { SessionInserts } from "./session-inserts.ts";
import { TrendBatch } from "./trend-batch.ts";

const FRAME_BYTES = 8 << 20;
const FRAME_COUNT = 16_384;
const TREND_COUNT = 1024;
/** Events and contact values kept while the disk refuses; more are let go. */
const MOST_NOTES = 10_000;

export class RecordingBatch {
	readonly frames = new FrameBatch(FRAME_BYTES, FRAME_COUNT);
	/** By series, whose ids count from 1. */
	readonly #trends: TrendBatch[] = [];
	#configurations: KeptConfiguration[] = [];
	#series: { id: number; series: TrendSeries }[] = [];
	#baselines: { configurationId: number; baseline: NewBaseline }[] = [];
	#events: SessionEvent[] = [];
	#contacts: StoredContacts[] = [];

	addConfiguration(configuration: KeptConfiguration): void {
		this.#configurations.push(configuration);
	}

	/** @returns the series' id. */
	addSeries(series: TrendSeries): number {
		const id = this.#trends.length + 1;
		this.#trends.push(new TrendBatch(id, series.regions.length, TREND_COUNT));
		this.#series.push({ id, series });
		return id;
	}

	/** @throws RangeError for a series that was not added. */
	trendsOf(seriesId: number): TrendBatch {
		const batch = this.#trends[seriesId - 1];
		if (batch === undefined) throw new RangeError(`recorder: no series ${seriesId}`);
		return batch;
	}

	/** Keeps it: its arrays must not change any more. */
	addBaseline(configurationId: number, baseline: NewBaseline): void {
		this.#baselines.push({ configurationId, baseline });
	}

	addEvent(event: SessionEvent): void {
		if (this.#events.length < MOST_NOTES) this.#events.push(event);
	}

	addContacts(contacts: StoredContacts): void {
		if (this.#contacts.length < MOST_NOTES) this.#contacts.push(contacts);
	}

	get isEmpty(): boolean {
		return (
			this.frames.count === 0 &&
			this.#configurations.length === 0 &&
			this.#series.length === 0 &&
			this.#baselines.length === 0 &&
			this.#events.length === 0 &&
			this.#contacts.length === 0 &&
			this.#trends.every((batch) => batch.count === 0)
		);
	}

	/** Inside a transaction; parents before what refers to them. */
	writeTo(inserts: SessionInserts, sessionId: number): void {
		for (const { id, given } of this.#configurations) inserts.configuration(sessionId, id, given);
		this.frames.writeTo(inserts.frame(sessionId));
		for (const { id, series } of this.#series) inserts.series(sessionId, id, series);
		const insertTrends = inserts.trends.bind(null, sessionId);
		for (const batch of this.#trends) batch.writeTo(insertTrends);
		for (const one of this.#baselines) inserts.baseline(sessionId, one.configurationId, one.baseline);
		for (const event of this.#events) inserts.event(sessionId, event);
		for (const contacts of this.#contacts) inserts.contacts(sessionId, contacts);
	}

	/** After the transaction has been committed. */
	clear(): void {
		this.frames.clear();
		for (const batch of this.#trends) batch.clear();
		this.#configurations = [];
		this.#series = [];
		this.#baselines = [];
		this.#events = [];
		this.#contacts = [];
	}
}
