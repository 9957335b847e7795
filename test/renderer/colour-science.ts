/** Published colour formulas that our choices are checked against. */

/** 0 to 255, sRGB. */
export type Rgb = readonly [red: number, green: number, blue: number];

export function hexToRgb(hex: string): Rgb {
	const value = Number.parseInt(hex.replace("#", ""), 16);
	return [value >> 16, (value >> 8) & 255, value & 255];
}

/** sRGB transfer function, IEC 61966-2-1. */
function linear(byte: number): number {
	const share = byte / 255;
	return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
}

function encoded(share: number): number {
	const clamped = Math.max(0, Math.min(1, share));
	return 255 * (clamped <= 0.0031308 ? 12.92 * clamped : 1.055 * clamped ** (1 / 2.4) - 0.055);
}

/** W3C, Web Content Accessibility Guidelines 2.2, "relative luminance" and "contrast ratio". */
export function contrastRatio(a: Rgb, b: Rgb): number {
	const luminance = ([red, green, blue]: Rgb): number =>
		0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
	const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
	return (high + 0.05) / (low + 0.05);
}

export type Vision = "normal" | "protan" | "deutan" | "tritan";

/** Machado, Oliveira & Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE
 *  TVCG 15:1291, 2009: matrices for severity 1.0 on linear RGB (from memory; rows sum to 1, as theirs do). */
const machado: Record<Exclude<Vision, "normal">, readonly number[]> = {
	protan: [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
	deutan: [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.01182, 0.04294, 0.968881],
	tritan: [1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.3039],
};

export function simulateVision(colour: Rgb, vision: Vision): Rgb {
	if (vision === "normal") return colour;
	const m = machado[vision];
	const [r, g, b] = colour.map(linear) as [number, number, number];
	const row = (i: number): number => encoded(m[3 * i]! * r + m[3 * i + 1]! * g + m[3 * i + 2]! * b);
	return [row(0), row(1), row(2)];
}

/** CIE 1976 colour difference ΔE*ab, D65 white (CIE 15; sRGB primaries of IEC 61966-2-1). */
export function distanceLab(a: Rgb, b: Rgb): number {
	const [la, aa, ba] = lab(a);
	const [lb, ab, bb] = lab(b);
	return Math.hypot(la - lb, aa - ab, ba - bb);
}

function lab(colour: Rgb): Rgb {
	const [r, g, b] = colour.map(linear) as [number, number, number];
	const x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
	const y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
	const z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089;
	const f = (t: number): number => (t > (6 / 29) ** 3 ? Math.cbrt(t) : t / (3 * (6 / 29) ** 2) + 4 / 29);
	return [116 * f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))];
}
