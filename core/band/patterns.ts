import type { ReadingPattern } from "./band.ts";

/** How far apart the two electrodes of a pair lie: `skip-N` leaves N electrodes between them, `adjacent` is
 *  `skip-0`, `opposite` is half of the ring. */
export type PairRule = "adjacent" | "opposite" | `skip-${number}`;

export type Terminals = "four-terminal" | "two-terminal";

export function isPairRule(name: string): name is PairRule {
	return /^(adjacent|opposite|skip-\d{1,2})$/.test(name);
}

/** Steps from the first to the second electrode of a pair. @throws RangeError when the ring has no such pair */
export function pairOffset(rule: PairRule, electrodeCount: number): number {
	if (rule === "opposite" && electrodeCount % 2 === 1) {
		throw new RangeError(`pattern: opposite pairs need an even number of electrodes, got ${electrodeCount}`);
	}
	const offset =
		rule === "adjacent"
			? 1
			: rule === "opposite"
				? electrodeCount / 2
				: Number(rule.slice("skip-".length)) + 1;
	if (!(Number.isInteger(offset) && offset >= 1 && offset <= electrodeCount / 2)) {
		throw new RangeError(`pattern: ${rule} is not possible with ${electrodeCount} electrodes`);
	}
	return offset;
}

/**
 * The readings of one frame.
 *
 * **Four-terminal.** Drive k (k = 0 … L−1, the outer loop) sends current into electrode k and takes it out of
 * k + offset. Readings are U[m] − U[m + offset′] for m = k+1, k+2, … k+L−1 (all modulo L), pairs that touch a
 * driven electrode left out. So `adjacent` gives m = k+2 … k+L−2 and L(L−3) readings (16: 208, 32: 928), and any
 * `skip-N` likewise. Reading pairs follow the same rule as driving pairs unless `reading` says otherwise, except
 * with `opposite`, whose reading pairs are adjacent (opposite ones would give only L/2 − 1 per drive). Opposite
 * pairs are the same pair from either end, so each is driven, or read, once: opposite drive has L/2 drives.
 *
 * **Two-terminal.** Impedance between each two electrodes: both drive and reading, i < j, all L(L−1)/2 pairs
 * (16: 120). `drive` plays no part.
 *
 * @throws RangeError when the ring is too small for the rule
 */
export function createPattern(
	electrodeCount: number,
	drive: PairRule,
	terminals: Terminals = "four-terminal",
	reading: PairRule = drive === "opposite" ? "adjacent" : drive,
): ReadingPattern {
	requireCount(electrodeCount);
	const L = electrodeCount;
	const rows: number[] = [];
	if (terminals === "two-terminal") {
		for (let i = 0; i < L; i++) for (let j = i + 1; j < L; j++) rows.push(i, j, i, j);
		return { name: "two-terminal", electrodeCount, terminals: Uint16Array.from(rows) };
	}

	const driveOffset = pairOffset(drive, L);
	const readOffset = pairOffset(reading, L);
	const drives = 2 * driveOffset === L ? L / 2 : L;
	for (let k = 0; k < drives; k++) {
		const source = k;
		const sink = (k + driveOffset) % L;
		const last = 2 * readOffset === L ? k + L / 2 : k + L - 1;
		for (let step = k + 1; step <= last; step++) {
			const plus = step % L;
			const minus = (step + readOffset) % L;
			if (plus === source || plus === sink || minus === source || minus === sink) continue;
			rows.push(source, sink, plus, minus);
		}
	}
	return { name: `${drive}/${reading}`, electrodeCount, terminals: Uint16Array.from(rows) };
}

/**
 * A pattern from explicit rows of source, sink, plus, minus electrode, counted from 0.
 *
 * @throws RangeError naming the row when an electrode does not exist, or a pair is one electrode twice
 */
export function patternFromRows(
	name: string,
	electrodeCount: number,
	rows: readonly (readonly number[])[],
): ReadingPattern {
	requireCount(electrodeCount);
	const terminals = new Uint16Array(4 * rows.length);
	for (const [i, row] of rows.entries()) {
		if (row.length < 4) {
			throw new RangeError(`pattern: row ${i} needs source, sink, plus and minus, got ${row.length} numbers`);
		}
		for (let k = 0; k < 4; k++) {
			const electrode = row[k]!;
			if (!(Number.isInteger(electrode) && electrode >= 0 && electrode < electrodeCount)) {
				throw new RangeError(
					`pattern: row ${i} names electrode ${electrode}; there are 0 to ${electrodeCount - 1}`,
				);
			}
			terminals[4 * i + k] = electrode;
		}
		if (row[0] === row[1])
			throw new RangeError(`pattern: row ${i} drives electrode ${row[0]} against itself`);
		if (row[2] === row[3]) throw new RangeError(`pattern: row ${i} reads electrode ${row[2]} against itself`);
	}
	return { name, electrodeCount, terminals };
}

function requireCount(electrodeCount: number): void {
	if (!(Number.isInteger(electrodeCount) && electrodeCount >= 4 && electrodeCount <= 1024)) {
		throw new RangeError(`pattern: a ring needs 4 to 1024 electrodes, got ${electrodeCount}`);
	}
}
