import { Transform, type TransformCallback, type TransformOptions } from "node:stream";
import { ReadlineParser } from "@serialport/parser-readline";
import { LineCap } from "../../core/wire/line-cap.ts";

/** Passes bytes on with every line cut to the protocol's cap: the readline parser behind it holds an unfinished
 *  line of any length and copies it for each chunk. */
export class LineCapStream extends Transform {
	readonly #cap = new LineCap();
	readonly #onBytes: (count: number, chunk: Uint8Array) => void;

	/** `onBytes` is told the size of every chunk as it arrives, and the chunk. */
	constructor(onBytes: (count: number, chunk: Uint8Array) => void, options: TransformOptions = {}) {
		super(options);
		this.#onBytes = onBytes;
	}

	override _transform(chunk: Uint8Array, _encoding: BufferEncoding, done: TransformCallback): void {
		this.#onBytes(chunk.length, chunk);
		done(null, this.#cap.pass(chunk));
	}
}

export interface LineReader {
	/** Takes bytes. */
	readonly input: LineCapStream;
	/** Ends after the last line once `input` has ended. */
	readonly lines: ReadlineParser;
	/** Tells nothing more. */
	destroy(): void;
}

/** Tells each line of a stream of bytes without its LF, and holds none beyond the protocol's cap.
 *  @param onBytes as of `LineCapStream` */
export function createLineReader(
	onLine: (line: Uint8Array) => void,
	onBytes: (count: number, chunk: Uint8Array) => void = () => {},
): LineReader {
	const input = new LineCapStream(onBytes);
	const lines = createLineSplitter();
	lines.on("data", onLine);
	input.pipe(lines);
	return {
		input,
		lines,
		destroy() {
			input.destroy();
			lines.destroy();
		},
	};
}

/** Emits each line as its own bytes, without LF: object mode keeps lines apart, and no encoding keeps bytes. */
export function createLineSplitter(): ReadlineParser {
	const options = { delimiter: "\n", encoding: undefined, readableObjectMode: true };
	// The parser's types ask for an encoding and would give text; leaving it out is what gives bytes.
	return new ReadlineParser(options as object);
}
