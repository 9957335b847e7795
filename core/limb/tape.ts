import type { OutlineShape } from "./limb.ts";

/** A circle as long around as the tape read, m. @throws RangeError when it is not a positive number */
export function circleFromCircumference(circumference: number): OutlineShape {
	requirePositive("circumference", circumference);
	return { type: "circle", radius: circumference / (2 * Math.PI) };
}

/**
 * An ellipse as long around as the tape read (m), `widthToDepth` times as wide (side to side) as deep (front to
 * back). @throws RangeError on numbers that are not positive
 */
export function ellipseFromCircumference(circumference: number, widthToDepth: number): OutlineShape {
	requirePositive("circumference", circumference);
	requirePositive("ratio of width to depth", widthToDepth);
	const b = circumference / ellipsePerimeter(widthToDepth, 1);
	return { type: "ellipse", a: widthToDepth * b, b };
}

/**
 * Perimeter of an ellipse with semi-axes a and b to machine precision, by the arithmetic-geometric mean:
 * P = 2π (a² − Σ 2^(n−1) cₙ²) / agm(a, b), c₀² = a² − b², cₙ₊₁ = (aₙ − bₙ)/2
 * (Abramowitz & Stegun, Handbook of Mathematical Functions, 17.6).
 */
export function ellipsePerimeter(a: number, b: number): number {
	let x = Math.max(a, b);
	let y = Math.min(a, b);
	let power = 0.5;
	let sum = x * x - power * (x * x - y * y);
	while (x - y > 1e-15 * x) {
		const c = (x - y) / 2;
		[x, y] = [(x + y) / 2, Math.sqrt(x * y)];
		power *= 2;
		sum -= power * c * c;
	}
	return (2 * Math.PI * sum) / x;
}

function requirePositive(what: string, value: number): void {
	if (!(value > 0 && value < Infinity)) {
		throw new RangeError(`tape: the ${what} must be a positive number, got ${value}`);
	}
}
