import fc from "fast-check";
import { expect, test } from "vitest";
import {
	createRingMemory,
	createRingReader,
	createRingWriter,
	type SlotView,
} from "../../app/pipeline/slot-ring.ts";

const view: SlotView<Float64Array> = (memory, offset, bytes) => new Float64Array(memory, offset, bytes / 8);

function createRing(slots: number) {
	const ring = createRingMemory(slots, 16);
	return { writer: createRingWriter(ring, view), reader: createRingReader(ring, view) };
}

test("gives back what was written, in order, whatever the turns of writing and reading", () => {
	fc.assert(
		fc.property(fc.array(fc.boolean(), { maxLength: 200 }), fc.constantFrom(1, 2, 8), (turns, slots) => {
			const { writer, reader } = createRing(slots);
			const model: number[] = [];
			let written = 0;
			for (const isWrite of turns) {
				if (isWrite) {
					const slot = writer.claim();
					expect(slot === null).toBe(model.length === slots);
					if (slot === null) continue;
					slot[0] = written;
					slot[1] = 3 * written + 1;
					writer.commit();
					model.push(written);
					written++;
				} else {
					const slot = reader.peek();
					expect(slot?.[0]).toBe(model[0]);
					if (slot === null) continue;
					expect(slot[1]).toBe(3 * model.shift()! + 1);
					reader.release();
				}
				expect(reader.backlog).toBe(model.length);
				expect(writer.backlog).toBe(model.length);
			}
		}),
	);
});

test("goes on when its counters wrap", () => {
	const ring = createRingMemory(4, 16);
	// One below the largest signed number: the next writes pass 2³¹ and later 2³².
	for (const start of [0x7fff_ffff, -1]) {
		new Int32Array(ring.memory, 0, 2).fill(start);
		const writer = createRingWriter(ring, view);
		const reader = createRingReader(ring, view);
		for (let i = 0; i < 20; i++) {
			for (let k = 0; k < 4; k++) {
				writer.claim()![0] = 10 * i + k;
				writer.commit();
			}
			expect(writer.claim()).toBeNull();
			for (let k = 0; k < 4; k++) {
				expect(reader.peek()![0]).toBe(10 * i + k);
				reader.release();
			}
			expect(reader.peek()).toBeNull();
		}
	}
});

test("refuses a size that cannot wrap or that breaks alignment", () => {
	expect(() => createRingMemory(3, 16)).toThrow(RangeError);
	expect(() => createRingMemory(4, 12)).toThrow(RangeError);
});
