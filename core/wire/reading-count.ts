/**
 * How many readings a frame of a named drive holds, as `PROTOCOL.md` tells and `core/band/patterns.ts` builds; null
 * when the ring has no such drive.
 */
export function readingCountOf(
	electrodeCount: number,
	drive: string,
	terminals: "four-terminal" | "two-terminal",
): number | null {
	const L = electrodeCount;
	const offset = offsetOf(drive, L);
	if (offset === null) return null;
	if (terminals === "two-terminal") return (L * (L - 1)) / 2;
	// A ring's opposite pairs are the same from either end: half as many drives, and half as many pairs to read.
	if (2 * offset < L) return L * (L - 3);
	return drive === "opposite" ? (L / 2) * (L - 4) : (L / 2) * (L / 2 - 1);
}

function offsetOf(drive: string, L: number): number | null {
	const offset =
		drive === "adjacent"
			? 1
			: drive === "opposite"
				? L / 2
				: Number(/^skip-([1-9]\d?)$/.exec(drive)?.[1]) + 1;
	return Number.isInteger(offset) && 2 * offset <= L ? offset : null;
}
