/** Polynomials of one degree on each piece of a limb's axis, joined continuously: finite elements in one dimension.
 *  Lengths in metres. */
export interface AxisElements {
	readonly degree: number;
	/** [nPieces + 1] ascending. */
	readonly breaks: Float64Array;
	/** Nodes of all pieces: those of piece e are e·degree … (e + 1)·degree. */
	readonly nodeCount: number;
	/** [nodeCount] ascending, m */
	readonly nodes: Float64Array;
	/** [nodeCount × nodeCount] ∫ ψᵢ′·ψⱼ′ dz, 1/m */
	readonly stiffness: Float64Array;
	/** [nodeCount × nodeCount] ∫ ψᵢ·ψⱼ dz, m */
	readonly mass: Float64Array;
}

/** @param breaks ascending, at least two */
export function createAxisElements(breaks: Float64Array, degree: number): AxisElements {
	const pieces = breaks.length - 1;
	const nodeCount = pieces * degree + 1;
	const nodes = new Float64Array(nodeCount);
	const stiffness = new Float64Array(nodeCount * nodeCount);
	const mass = new Float64Array(nodeCount * nodeCount);
	const unit = unitPiece(degree);
	const n = degree + 1;
	for (let e = 0; e < pieces; e++) {
		const from = breaks[e]!;
		const length = breaks[e + 1]! - from;
		for (let i = 0; i < n; i++) {
			nodes[e * degree + i] = from + length * unit.nodes[i]!;
			for (let j = 0; j < n; j++) {
				const at = (e * degree + i) * nodeCount + e * degree + j;
				stiffness[at]! += unit.stiffness[i * n + j]! / length;
				mass[at]! += unit.mass[i * n + j]! * length;
			}
		}
	}
	return { degree, breaks, nodeCount, nodes, stiffness, mass };
}

/** The mass of the pieces between two breaks alone: [count × count] over the nodes first … first + count − 1. */
export function massBetween(
	{ degree, breaks }: AxisElements,
	from: number,
	to: number,
): { readonly first: number; readonly count: number; readonly mass: Float64Array } {
	const part = createAxisElements(breaks.slice(from, to + 1), degree);
	return { first: from * degree, count: part.nodeCount, mass: part.mass };
}

/** Lagrange polynomials on [0, 1] through the Gauss–Lobatto points (the ends and the zeros of P′ of the degree), whose
 *  matrices stay well conditioned as the degree rises. */
function unitPiece(degree: number) {
	const n = degree + 1;
	const nodes = Float64Array.from(lobattoPoints(degree), (x) => (1 + x) / 2);
	const { points, weights } = gaussRule(n);
	const stiffness = new Float64Array(n * n);
	const mass = new Float64Array(n * n);
	const value = new Float64Array(n);
	const slope = new Float64Array(n);
	for (let g = 0; g < n; g++) {
		for (let i = 0; i < n; i++) {
			let product = 1;
			let sum = 0;
			for (let k = 0; k < n; k++) {
				if (k === i) continue;
				product *= (points[g]! - nodes[k]!) / (nodes[i]! - nodes[k]!);
				let rest = 1 / (nodes[i]! - nodes[k]!);
				for (let m = 0; m < n; m++)
					if (m !== i && m !== k) rest *= (points[g]! - nodes[m]!) / (nodes[i]! - nodes[m]!);
				sum += rest;
			}
			value[i] = product;
			slope[i] = sum;
		}
		for (let i = 0; i < n; i++)
			for (let j = 0; j < n; j++) {
				stiffness[i * n + j]! += weights[g]! * slope[i]! * slope[j]!;
				mass[i * n + j]! += weights[g]! * value[i]! * value[j]!;
			}
	}
	return { nodes, stiffness, mass };
}

/** P and P′ of a degree at x by the three-term recurrence (Abramowitz & Stegun 22.7.10, 22.8.5). */
function legendre(degree: number, x: number): readonly [value: number, slope: number, before: number] {
	let before = 1;
	let value = x;
	if (degree === 0) return [1, 0, 0];
	for (let k = 2; k <= degree; k++)
		[before, value] = [value, ((2 * k - 1) * x * value - (k - 1) * before) / k];
	const slope =
		Math.abs(x) === 1
			? (x ** (degree + 1) * degree * (degree + 1)) / 2
			: (degree * (before - x * value)) / (1 - x * x);
	return [value, slope, before];
}

function lobattoPoints(degree: number): Float64Array {
	const points = new Float64Array(degree + 1);
	points[0] = -1;
	points[degree] = 1;
	for (let i = 1; i < degree; i++) {
		let x = -Math.cos((Math.PI * i) / degree);
		// Newton on P′, whose slope follows from Legendre's equation
		for (let step = 0; step < 50; step++) {
			const [value, slope] = legendre(degree, x);
			const change = (slope * (1 - x * x)) / (2 * x * slope - degree * (degree + 1) * value);
			x -= change;
			if (Math.abs(change) < 1e-15) break;
		}
		points[i] = x;
	}
	return points;
}

/** Gauss–Legendre on [0, 1], exact to degree 2·count − 1. */
export function gaussRule(count: number): { readonly points: Float64Array; readonly weights: Float64Array } {
	const points = new Float64Array(count);
	const weights = new Float64Array(count);
	for (let i = 0; i < count; i++) {
		let x = -Math.cos((Math.PI * (i + 0.75)) / (count + 0.5));
		for (let step = 0; step < 50; step++) {
			const [value, slope] = legendre(count, x);
			x -= value / slope;
			if (Math.abs(value / slope) < 1e-15) break;
		}
		const [, slope] = legendre(count, x);
		points[i] = (1 + x) / 2;
		weights[i] = 1 / ((1 - x * x) * slope * slope);
	}
	return { points, weights };
}
