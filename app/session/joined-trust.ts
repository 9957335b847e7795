import { boardElectrode, numberOfOther } from "../../core/band/board-electrode.ts";
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { LiveBand } from "./live-band.ts";

/** What the bands of a board are to do without, together. */
export interface JoinedTrust {
	/** Looks whether that has changed since the last call. Allocates nothing where it has not. */
	hasChanged(): boolean;
	/** [nReadings] share of its information that each reading keeps; null where all keep all. */
	kept(): Float64Array | null;
}

/** @param bands in the order of their readings */
export function createJoinedTrust(bands: readonly LiveBand[]): JoinedTrust {
	const seen: (LeftOut | null)[] = bands.map(() => null);
	return {
		hasChanged() {
			let isOther = false;
			for (let b = 0; b < bands.length; b++) {
				const { leftOut } = bands[b]!.watch;
				if (seen[b] === leftOut) continue;
				seen[b] = leftOut;
				isOther = true;
			}
			return isOther;
		},
		kept: () =>
			joinKept(
				bands.map(({ bandIndex, pattern: { terminals } }) => ({ bandIndex, terminals })),
				seen,
			),
	};
}

/**
 * @param bands in the order of their readings; `terminals` [their readings × 4]
 * @param leftOut [bands]
 * @returns as `JoinedTrust.kept`
 */
export function joinKept(
	bands: readonly { readonly bandIndex: number; readonly terminals: Uint16Array }[],
	leftOut: readonly (LeftOut | null)[],
): Float64Array | null {
	if (leftOut.every((one) => one === null || one.kept === null)) return null;
	const lost = new Set(
		leftOut.flatMap(
			(one, b) => one?.electrodes.map(({ electrode }) => keyOf(bands[b]!.bandIndex, electrode)) ?? [],
		),
	);
	const all: number[] = [];
	for (const [b, one] of leftOut.entries()) {
		const { bandIndex, terminals } = bands[b]!;
		for (let i = 0; 4 * i < terminals.length; i++) {
			const kept = one?.kept?.[i] ?? 1;
			all.push(touches(terminals.subarray(4 * i, 4 * i + 4), bandIndex, lost) ? 0 : kept);
		}
	}
	return Float64Array.from(all);
}

/** Whether a reading takes in a lost electrode of any band: the band that lists it may not know of the other's. */
function touches(terminals: Uint16Array, own: number, lost: ReadonlySet<number>): boolean {
	return terminals.some((number) => {
		const { band, electrode } = boardElectrode(number, own);
		return lost.has(keyOf(band, electrode));
	});
}

function keyOf(band: number, electrode: number): number {
	return numberOfOther({ band, electrode });
}
