import { BoardParser, type BoardRecords, type WireCounters } from "./board-parser.ts";

const ignoreRecords: BoardRecords = {
	onHello: () => {},
	onOtherVersion: () => {},
	onAbility: () => {},
	onConfiguration: () => {},
	onFrame: () => {},
	onStatus: () => {},
	onContacts: () => {},
	onReply: () => {},
	onRestart: () => {},
};

/** Reads lines (without their LF) of one board, for a check of a capture or a measure of speed. */
export function parseLines(lines: Iterable<Uint8Array>): WireCounters {
	const parser = new BoardParser(ignoreRecords);
	for (const line of lines) parser.parse(line);
	return parser.counters;
}
