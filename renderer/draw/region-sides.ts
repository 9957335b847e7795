/** A side of a triangle with one region on its left and another, or nothing, on its right. */
export interface Side {
	readonly from: number;
	readonly to: number;
	/** Labels as in `regionOf`; −1 outside. */
	readonly left: number;
	readonly right: number;
}

/** Every side between two regions once, and those at the skin. @param triangles [n × 3] nodes, all turned the same way */
export function sidesBetween(triangles: readonly number[], regionOf: readonly number[]): Side[] {
	const open = new Map<string, Side>();
	for (let i = 0; i < triangles.length; i++) {
		const from = triangles[i]!;
		const to = triangles[i % 3 === 2 ? i - 2 : i + 1]!;
		const label = regionOf[Math.floor(i / 3)]!;
		const other = open.get(`${to} ${from}`);
		if (other === undefined) {
			open.set(`${from} ${to}`, { from, to, left: label, right: -1 });
		} else if (other.left === label) {
			open.delete(`${to} ${from}`);
		} else {
			open.set(`${to} ${from}`, { ...other, right: label });
		}
	}
	return [...open.values()];
}

/** The longest way around a region. @param nodes [n × 2] of one level
 *  @returns nodes in their order, the region to their left; empty where there is no such region */
export function largestLoop(
	triangles: readonly number[],
	regionOf: readonly number[],
	label: number,
	nodes: readonly number[],
): number[] {
	const after = new Map<number, number[]>();
	for (const { from, to, left, right } of sidesBetween(triangles, regionOf)) {
		if (left === label) after.set(from, [...(after.get(from) ?? []), to]);
		if (right === label) after.set(to, [...(after.get(to) ?? []), from]);
	}
	let largest: number[] = [];
	let largestArea = 0;
	for (const start of after.keys()) {
		const loop: number[] = [];
		for (let node: number | undefined = start; node !== undefined; node = after.get(node)?.pop())
			loop.push(node);
		// The way ends where it began.
		if (loop.length < 4) continue;
		loop.pop();
		const area = Math.abs(areaOf(loop, nodes));
		if (area <= largestArea) continue;
		largest = loop;
		largestArea = area;
	}
	return largest;
}

function areaOf(loop: readonly number[], nodes: readonly number[]): number {
	let twice = 0;
	for (const [i, a] of loop.entries()) {
		const b = loop[(i + 1) % loop.length]!;
		twice += nodes[2 * a]! * nodes[2 * b + 1]! - nodes[2 * b]! * nodes[2 * a + 1]!;
	}
	return twice / 2;
}
