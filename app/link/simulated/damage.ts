import { LineFields } from "../../../core/wire/line-fields.ts";
import type { Random } from "./random.ts";

const lineFeed = 0x0a;
const carriageReturn = 0x0d;

/** What a bad cable or a weak radio makes of a line: bits flipped, bytes lost, bytes replaced or put in between. Its
 *  LF stays and no other comes in, so one damaged line is one bad line, and its neighbours are whole. */
export function damageLine(line: Uint8Array, random: Random): Uint8Array {
	const body = line.subarray(0, line.length - 1);
	const fields = new LineFields();
	for (;;) {
		const damaged = damageBody(body, random);
		for (let i = 0; i < damaged.length; i++) {
			if (damaged[i] === lineFeed || damaged[i] === carriageReturn) damaged[i] = 0x21;
		}
		// An empty line says nothing, and one in 65,536 damaged lines passes its checksum: neither would be noticed.
		const shape = fields.open(damaged);
		if (shape !== "whole" && shape !== "empty") return Uint8Array.from([...damaged, lineFeed]);
	}
}

function damageBody(body: Uint8Array, random: Random): Uint8Array {
	const from = random.below(body.length);
	const run = 1 + random.below(Math.min(24, body.length - from));
	switch (random.below(4)) {
		case 0: {
			const flipped = body.slice();
			for (let n = 1 + random.below(3); n > 0; n--)
				flipped[random.below(body.length)]! ^= 1 << random.below(8);
			return flipped;
		}
		case 1:
			return Uint8Array.from([...body.subarray(0, from), ...body.subarray(from + run)]);
		case 2: {
			const replaced = body.slice();
			for (let i = from; i < from + run; i++) replaced[i] = random.below(256);
			return replaced;
		}
		default: {
			const noise = Array.from({ length: run }, () => random.below(256));
			return Uint8Array.from([...body.subarray(0, from), ...noise, ...body.subarray(from)]);
		}
	}
}
