/**
 * A ring of equal slots in shared memory between two threads: one writes, the other reads, nothing is allocated or
 * copied in between. Full means full: the writer is told and decides.
 */

/** Two counters that only grow (modulo 2³²): slots written and slots read; padded to one alignment of a double. */
const CONTROL_BYTES = 16;
const WRITTEN = 0;
const READ = 1;

export interface RingMemory {
	readonly memory: SharedArrayBuffer;
	readonly slots: number;
	/** A multiple of 8. */
	readonly slotBytes: number;
}

export function createRingMemory(slots: number, slotBytes: number): RingMemory {
	// A power of two divides 2³², so that the counters may wrap.
	if (!Number.isInteger(Math.log2(slots))) throw new RangeError(`ring: ${slots} slots are no power of two`);
	if (slotBytes % 8 !== 0) throw new RangeError(`ring: ${slotBytes} bytes a slot are no multiple of 8`);
	return { memory: new SharedArrayBuffer(CONTROL_BYTES + slots * slotBytes), slots, slotBytes };
}

export interface RingWriter<Slot> {
	/** The next free slot, to be filled before `commit`; null when the reader is a whole ring behind. */
	claim(): Slot | null;
	commit(): void;
	/** Slots written and not yet released by the reader. */
	readonly backlog: number;
}

export interface RingReader<Slot> {
	/** The oldest unread slot, valid until `release`; null when there is none. */
	peek(): Slot | null;
	release(): void;
	/** Slots written and not yet released. */
	readonly backlog: number;
}

/** `view` lays typed arrays over a slot, once for each. */
export type SlotView<Slot> = (memory: SharedArrayBuffer, offset: number, bytes: number) => Slot;

export function createRingWriter<Slot>(ring: RingMemory, view: SlotView<Slot>): RingWriter<Slot> {
	const control = new Int32Array(ring.memory, 0, 2);
	const views = viewSlots(ring, view);
	return {
		claim() {
			if (backlogOf(control) >= ring.slots) return null;
			return views[Atomics.load(control, WRITTEN) & (ring.slots - 1)]!;
		},
		commit() {
			Atomics.add(control, WRITTEN, 1);
		},
		get backlog() {
			return backlogOf(control);
		},
	};
}

export function createRingReader<Slot>(ring: RingMemory, view: SlotView<Slot>): RingReader<Slot> {
	const control = new Int32Array(ring.memory, 0, 2);
	const views = viewSlots(ring, view);
	return {
		peek() {
			const read = Atomics.load(control, READ);
			return read === Atomics.load(control, WRITTEN) ? null : views[read & (ring.slots - 1)]!;
		},
		release() {
			Atomics.add(control, READ, 1);
		},
		get backlog() {
			return backlogOf(control);
		},
	};
}

/** Right over the counters' wrap as well. */
function backlogOf(control: Int32Array): number {
	return (Atomics.load(control, WRITTEN) - Atomics.load(control, READ)) | 0;
}

function viewSlots<Slot>({ memory, slots, slotBytes }: RingMemory, view: SlotView<Slot>): Slot[] {
	return Array.from({ length: slots }, (_, i) => view(memory, CONTROL_BYTES + i * slotBytes, slotBytes));
}
