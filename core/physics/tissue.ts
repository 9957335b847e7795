/**
 * Electrical properties of tissues at rest by the four-term Cole–Cole model of S. Gabriel, R. W. Lau & C. Gabriel,
 * Phys. Med. Biol. 41:2271 (1996):
 *
 *   ε*(ω) = ε∞ + Σ Δεₙ / (1 + (jωτₙ)^(1−αₙ)) + σᵢ / (jωε₀),   σ(ω) = −ωε₀·Im ε*,   ε'(ω) = Re ε*
 *
 * with the parameters of C. Gabriel, Compilation of the Dielectric Properties of Body Tissues at RF and Microwave
 * Frequencies, AL/OE-TR-1996-0037, appendix C.
 */
export type Tissue =
	| "muscle"
	| "fat"
	| "fat-infiltrated"
	| "bone"
	| "bone-cancellous"
	| "bone-marrow"
	| "skin-dry"
	| "skin-wet"
	| "blood"
	| "tendon";

/** [Δε, τ in seconds, α] */
type Dispersion = readonly [step: number, time: number, spread: number];

interface ColeCole {
	readonly highFrequencyPermittivity: number;
	readonly dispersions: readonly [Dispersion, Dispersion, Dispersion, Dispersion];
	/** Static ionic conductivity, S/m. */
	readonly ionic: number;
}

const PS = 1e-12;
const NS = 1e-9;
const US = 1e-6;
const MS = 1e-3;

/** "fat" is the entry without blood infiltration, "bone" the cortical one. Muscle is the entry across and between
 *  fibres; along them it conducts several times better below 1 MHz (Epstein & Foster, Med. Biol. Eng. Comput.
 *  21:51, 1983), which a plane isotropic model cannot hold. */
const parameters: Readonly<Record<Tissue, ColeCole>> = {
	muscle: coleCole(
		4,
		0.2,
		[50, 7.234 * PS, 0.1],
		[7000, 353.678 * NS, 0.1],
		[1.2e6, 318.31 * US, 0.1],
		[2.5e7, 2.274 * MS, 0],
	),
	fat: coleCole(
		2.5,
		0.01,
		[3, 7.958 * PS, 0.2],
		[15, 15.915 * NS, 0.1],
		[3.3e4, 159.155 * US, 0.05],
		[1e7, 7.958 * MS, 0.01],
	),
	"fat-infiltrated": coleCole(
		2.5,
		0.035,
		[9, 7.958 * PS, 0.2],
		[35, 15.915 * NS, 0.1],
		[3.3e4, 159.155 * US, 0.05],
		[1e7, 15.915 * MS, 0.01],
	),
	bone: coleCole(
		2.5,
		0.02,
		[10, 13.263 * PS, 0.2],
		[180, 79.577 * NS, 0.2],
		[5e3, 159.155 * US, 0.2],
		[1e5, 15.915 * MS, 0],
	),
	"bone-cancellous": coleCole(
		2.5,
		0.07,
		[18, 13.263 * PS, 0.22],
		[300, 79.577 * NS, 0.25],
		[2e4, 159.155 * US, 0.2],
		[2e7, 15.915 * MS, 0],
	),
	"bone-marrow": coleCole(
		2.5,
		0.001,
		[3, 7.958 * PS, 0.2],
		[25, 15.915 * NS, 0.1],
		[5e3, 1591.549 * US, 0.1],
		[2e6, 15.915 * MS, 0.1],
	),
	// The compilation prints skin's ionic conductivity rounded to 0.000; these digits reproduce the published
	// conductivities at 10 and 100 kHz, which zero does not.
	"skin-dry": coleCole(
		4,
		0.0002,
		[32, 7.234 * PS, 0],
		[1100, 32.481 * NS, 0.2],
		[0, 159.155 * US, 0.2],
		[0, 15.915 * MS, 0.2],
	),
	"skin-wet": coleCole(
		4,
		0.0004,
		[39, 7.958 * PS, 0.1],
		[280, 79.577 * NS, 0],
		[3e4, 1.592 * US, 0.16],
		[3e4, 1.592 * MS, 0.2],
	),
	blood: coleCole(
		4,
		0.7,
		[56, 8.377 * PS, 0.1],
		[5200, 132.629 * NS, 0.1],
		[0, 159.155 * US, 0.2],
		[0, 15.915 * MS, 0],
	),
	tendon: coleCole(
		4,
		0.25,
		[42, 12.243 * PS, 0.1],
		[60, 6.366 * NS, 0.1],
		[6e4, 318.31 * US, 0.22],
		[2e7, 1.326 * MS, 0],
	),
};

export const tissues = Object.keys(parameters) as readonly Tissue[];

function coleCole(
	highFrequencyPermittivity: number,
	ionic: number,
	...dispersions: readonly [Dispersion, Dispersion, Dispersion, Dispersion]
): ColeCole {
	return { highFrequencyPermittivity, dispersions, ionic };
}

/** Permittivity of vacuum, F/m (CODATA 2018). */
const EPSILON_0 = 8.8541878128e-12;

/**
 * Conductivity (S/m) and relative permittivity of a tissue at a frequency.
 *
 * @param hertz the model holds from 10 Hz to 100 GHz; skin below 1 MHz varies widely between people
 * @throws RangeError outside of that range
 */
export function dielectricOf(tissue: Tissue, hertz: number): { conductivity: number; permittivity: number } {
	if (!(hertz >= 10 && hertz <= 100e9))
		throw new RangeError(`the tissue model holds from 10 Hz to 100 GHz, got ${hertz} Hz`);
	const { highFrequencyPermittivity, dispersions, ionic } = parameters[tissue];
	const omega = 2 * Math.PI * hertz;
	let real = highFrequencyPermittivity;
	let imaginary = -ionic / (omega * EPSILON_0);
	for (const [step, time, spread] of dispersions) {
		// (jωτ)^(1−α) in polar form: size (ωτ)^(1−α), angle (1−α)·π/2
		const size = (omega * time) ** (1 - spread);
		const angle = ((1 - spread) * Math.PI) / 2;
		const re = 1 + size * Math.cos(angle);
		const im = size * Math.sin(angle);
		const squared = re * re + im * im;
		real += (step * re) / squared;
		imaginary -= (step * im) / squared;
	}
	return { conductivity: -omega * EPSILON_0 * imaginary, permittivity: real };
}

/** Conductivity at rest, S/m: what the forward model takes. At 50 kHz the current in muscle, fat and bone lags by
 *  less than 5°, so that a real conductivity serves. */
export function restConductivity(tissue: Tissue, hertz: number): number {
	return dielectricOf(tissue, hertz).conductivity;
}

/**
 * Contact impedances (Ω·m²) where none was measured. Skin and layer between metal and tissue count as contact:
 * skin under gel, unprepared, has about 220 Ω for 1 cm² at 100 kHz (Rosell et al., IEEE Trans. Biomed. Eng.
 * 35:649, 1988). Dry: 1.5 kΩ for 1 cm² at 50 kHz, common practice without a source, falling as skin sweats.
 */
export const typicalContactImpedance = { gel: 0.022, dry: 0.15 } as const;

/** Contact impedance (Ω·m²) of an electrode whose contact was measured in ohm. */
export function contactImpedanceOf(ohm: number, electrodeAreaSquareMetre: number): number {
	return ohm * electrodeAreaSquareMetre;
}
