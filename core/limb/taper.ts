/** A tape measure around the limb. */
export interface TapeReading {
	/** Along the limb, m; larger is nearer to the hip. */
	readonly z: number;
	/** m */
	readonly circumference: number;
}

/** How the limb's circumference goes along it. */
export interface Taper {
	/** m, at any z: beyond the outermost readings as there. */
	circumferenceAt(z: number): number;
}

/** Tapes nearer to each other than this cannot be told apart, m. */
const LEAST_DISTANCE = 1e-3;

/** Circumferences in metres that can be a limb's or a tank's. */
const LEAST_CIRCUMFERENCE = 0.05;
const MOST_CIRCUMFERENCE = 3;

/**
 * A smooth curve through the readings that neither overshoots nor turns where they do not (monotone cubics: Fritsch &
 * Carlson, SIAM J. Numer. Anal. 17:238, 1980, with the slopes of Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5:300,
 * 1984). One reading makes a limb of one circumference all along.
 *
 * @param readings in any order
 * @throws RangeError in one sentence when there is none, or one is impossible, or two are at one place
 */
export function createTaper(readings: readonly TapeReading[]): Taper {
	if (readings.length === 0) throw new RangeError("taper: at least one circumference is needed");
	for (const { z, circumference } of readings) {
		if (!Number.isFinite(z)) throw new RangeError(`taper: a height must be a number of metres, got ${z}`);
		if (!(circumference >= LEAST_CIRCUMFERENCE && circumference <= MOST_CIRCUMFERENCE)) {
			throw new RangeError(
				`taper: a circumference is ${LEAST_CIRCUMFERENCE} to ${MOST_CIRCUMFERENCE} m, got ${circumference}`,
			);
		}
	}
	const sorted = [...readings].sort((a, b) => a.z - b.z);
	const z = sorted.map((reading) => reading.z);
	const c = sorted.map((reading) => reading.circumference);
	const secant = z.slice(1).map((next, i) => (c[i + 1]! - c[i]!) / (next - z[i]!));
	for (let i = 0; i + 1 < z.length; i++) {
		if (z[i + 1]! - z[i]! < LEAST_DISTANCE)
			throw new RangeError(`taper: two circumferences were taken at one place, ${z[i]} m along the limb`);
	}
	const slope = z.map((_, i) => {
		if (z.length === 1) return 0;
		if (i === 0 || i === z.length - 1) return secant[Math.min(i, secant.length - 1)]!;
		const [below, above] = [secant[i - 1]!, secant[i]!];
		if (below * above <= 0) return 0;
		const [short, long] = [z[i]! - z[i - 1]!, z[i + 1]! - z[i]!];
		const share = (short + 2 * long) / (3 * (short + long));
		return (below * above) / (share * above + (1 - share) * below);
	});
	return {
		circumferenceAt(at) {
			if (at <= z[0]!) return c[0]!;
			const last = z.length - 1;
			if (at >= z[last]!) return c[last]!;
			let i = 0;
			while (at > z[i + 1]!) i++;
			const length = z[i + 1]! - z[i]!;
			const t = (at - z[i]!) / length;
			const u = 1 - t;
			return (
				u * u * (1 + 2 * t) * c[i]! +
				t * t * (1 + 2 * u) * c[i + 1]! +
				length * t * u * (u * slope[i]! - t * slope[i + 1]!)
			);
		},
	};
}
