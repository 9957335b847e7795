import { electrodeText } from "../../core/band/board-electrode.ts";
import { BoardParser, type BoardRecords } from "../../core/wire/board-parser.ts";

export type LoggedRecord = { readonly record: string } & Readonly<Record<string, unknown>>;

/** A parser whose records are kept as plain values, in the shape of `core/wire/vectors/board-lines.json`. */
export function createLoggingParser(): { parser: BoardParser; records: LoggedRecord[] } {
	const records: LoggedRecord[] = [];
	const known = (value: number) => (Number.isNaN(value) ? null : value);
	const handlers: BoardRecords = {
		onHello: (board) => records.push({ record: "hello", ...board }),
		onOtherVersion: (version) => records.push({ record: "other-version", version }),
		onAbility: (ability) => records.push({ record: "ability", ...ability }),
		onConfiguration(configuration) {
			const list = configuration.listedTerminals;
			records.push({ record: "configuration", ...configuration, listedTerminals: list && listOf(list) });
		},
		onFrame(frame, lostBefore) {
			records.push({ record: "frame", ...frame, values: Array.from(frame.values), lostBefore });
		},
		onStatus: (status) => records.push({ record: "status", ...status }),
		onContacts: (bandIndex, ohm) =>
			records.push({ record: "contacts", bandIndex, ohm: Array.from(ohm, known) }),
		onReply: (id, refusal) => records.push({ record: "reply", id, refusal }),
		onRestart: () => records.push({ record: "restart" }),
	};
	return { parser: new BoardParser(handlers), records };
}

/** Numbers, and texts for electrodes of other bands. */
export function listOf(listedTerminals: Uint16Array): (number | string)[] {
	return Array.from(listedTerminals, (number) => (number < 64 ? number : electrodeText(number)));
}

/** Single bytes of a text whose characters stand for bytes. */
export function bytesOf(text: string): Uint8Array {
	return Buffer.from(text, "latin1");
}

export function badLineCount(parser: BoardParser): number {
	return Object.values(parser.counters.bad).reduce((sum, count) => sum + count, 0);
}
