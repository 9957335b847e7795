/** The set-up as people enter it (cm, mm, degrees, text) and as the app takes it (m); pure, so that it can be tested. */

import type { BandPlace, BandSetup, LimbSetup, RequestArgument } from "../app/contract.ts";
import { usualElectrodeHeightMetre } from "../core/band/electrode-height.ts";
import { placeElectrodes } from "../core/band/electrodes.ts";
import { bandOf } from "../core/band/measured-band.ts";
import { type FatSource, fatFromSkinfold, skinfoldFromFat, USUAL_FAT } from "../core/limb/fat.ts";
import type { Limb, Point } from "../core/limb/limb.ts";
import { createOutline, type Outline } from "../core/limb/outline.ts";
import { circleFromCircumference, ellipseFromCircumference, ellipsePerimeter } from "../core/limb/tape.ts";
import { createThigh } from "../core/limb/thigh-atlas.ts";

export type Shape = "round" | "oval" | "points";

export interface SetUpForm {
	readonly personId: number | null;
	readonly side: "left" | "right";
	readonly shape: Shape;
	/** cm */
	readonly circumference: string;
	/** cm */
	readonly width: string;
	/** cm */
	readonly depth: string;
	/** One point a line, cm. */
	readonly points: string;
	/** `unsaid` where an older record does not tell. */
	readonly fatSource: FatSource | "unsaid";
	/** mm: the layer, or the fold where a skinfold was measured. */
	readonly fat: string;
	/** % of the thigh's length. */
	readonly level: string;
	readonly bandName: string;
	readonly electrodeCount: string;
	/** mm */
	readonly electrodeWidth: string;
	/** Degrees from the front, positive towards the person's left. */
	readonly firstElectrode: string;
	readonly direction: "anticlockwise" | "clockwise";
	/** Kept as it came: there is no field for it. */
	readonly positions: readonly number[] | null;
	/** On this thigh, 1 to 4. */
	readonly bandCount: number;
	/** One for each band where there are several; all empty where they are not known. */
	readonly places: readonly PlaceForm[];
}

export interface PlaceForm {
	/** cm above the knee cap */
	readonly above: string;
	/** cm */
	readonly around: string;
}

export type SetUpField = Exclude<
	keyof SetUpForm,
	"personId" | "side" | "shape" | "fatSource" | "direction" | "positions" | "bandCount" | "places"
>;
export type PlaceField = `${keyof PlaceForm} ${number}`;
/** Those of a place by its field and band, from 0. */
export type FieldErrors = Partial<Record<SetUpField | PlaceField, string>>;

export interface ReadSetUp {
	readonly argument: RequestArgument<"setUp">;
	readonly outline: Outline;
	readonly thigh: Limb;
	/** Arc length of each electrode's start and end, m. */
	readonly electrodes: { readonly start: Float64Array; readonly end: Float64Array };
	/** Outside of 35 to 75 cm: possible, but ask. */
	readonly isUnusual: boolean;
}

/** cm. Thighs measure about 33 to 77 cm (ANSUR II, NATICK/TR-15/007); these bounds are common practice. */
const POSSIBLE = [25, 100] as const;
const USUAL = [35, 75] as const;

/** cm above the knee cap */
const HEIGHTS = [0, 60] as const;
const MOST_BANDS = 4;
const noPlace: PlaceForm = { above: "", around: "" };

/** @param places null where they are not known: as many empty ones as there are bands */
export function formFromSetUp(
	personId: number | null,
	limb: LimbSetup,
	band: BandSetup,
	places: readonly BandPlace[] | null = null,
	bandCount = places?.length ?? 1,
): SetUpForm {
	const { outline } = limb;
	const around = createOutline(outline).circumference;
	return {
		personId,
		side: limb.side,
		shape: outline.type === "circle" ? "round" : outline.type === "ellipse" ? "oval" : "points",
		circumference: text(
			outline.type === "ellipse" ? 100 * ellipsePerimeter(outline.a, outline.b) : 100 * around,
			1,
		),
		width: outline.type === "ellipse" ? text(200 * outline.a, 2) : "",
		depth: outline.type === "ellipse" ? text(200 * outline.b, 2) : "",
		points:
			outline.type === "polygon" || outline.type === "smooth"
				? outline.points.map(([x, y]) => `${text(100 * x, 2)} ${text(100 * y, 2)}`).join("\n")
				: "",
		fatSource: limb.fatSource ?? "unsaid",
		fat: text(
			1000 * (limb.fatSource === "skinfold" ? skinfoldFromFat(limb.fatThickness) : limb.fatThickness),
			1,
		),
		level: text(100 * limb.level, 0),
		bandName: band.name,
		electrodeCount: String(band.electrodeCount),
		electrodeWidth: text(1000 * band.electrodeWidth, 1),
		firstElectrode: text(band.firstElectrodeDegrees, 1),
		direction: band.direction,
		positions: band.positions,
		...withBands(
			{
				places: (places ?? []).map(({ aboveKnee, circumference }) => ({
					above: text(100 * aboveKnee, 1),
					around: text(100 * circumference, 1),
				})),
			},
			bandCount,
		),
	};
}

/** The part of a form that holds the bands, for another number of them; what was entered stays as far as it goes. */
export function withBands(
	{ places }: Pick<SetUpForm, "places">,
	bandCount: number,
): Pick<SetUpForm, "bandCount" | "places"> {
	const count = Math.max(1, Math.min(MOST_BANDS, bandCount));
	return {
		bandCount: count,
		places: count === 1 ? [] : Array.from({ length: count }, (_, i) => places[i] ?? noPlace),
	};
}

/** The same thickness, told as the other way of measuring tells it. */
export function fatChange(
	form: SetUpForm,
	fatSource: SetUpForm["fatSource"],
): Pick<SetUpForm, "fat" | "fatSource"> {
	if (fatSource === "assumed") return { fatSource, fat: text(1000 * USUAL_FAT, 1) };
	const entered = parseNumber(form.fat);
	const isFold = form.fatSource === "skinfold";
	if (entered === null || isFold === (fatSource === "skinfold")) return { fatSource, fat: form.fat };
	return { fatSource, fat: text(isFold ? fatFromSkinfold(entered) : skinfoldFromFat(entered), 1) };
}

/** @returns what the app takes, or which fields to correct and how. */
export function readSetUpForm(form: SetUpForm): ReadSetUp | FieldErrors {
	const errors: FieldErrors = {};

	function number(field: SetUpField, low: number, high: number, unit: string): number {
		const value = parseNumber(form[field]);
		if (value === null || value < low || value > high) {
			errors[field] = `Enter a number from ${low} to ${high}${unit === "" ? "" : ` ${unit}`}.`;
			return low;
		}
		return value;
	}

	const fat = readFat(form, number);
	const level = number("level", 10, 90, "%");
	const electrodeCount = number("electrodeCount", 8, 64, "");
	if (!Number.isInteger(electrodeCount)) errors.electrodeCount = "Enter a whole number from 8 to 64.";
	const electrodeWidth = number("electrodeWidth", 1, 60, "mm");
	const firstElectrode = number("firstElectrode", -180, 180, "degrees");
	const bandName = form.bandName.trim();
	if (bandName === "" || bandName.length > 80) errors.bandName = "Enter a name of at most 80 characters.";
	const places = readPlaces(form, errors);
	const shape = readShape(form, errors, number);
	if (shape === null || Object.keys(errors).length > 0) return errors;

	const band: BandSetup = {
		name: bandName,
		electrodeCount,
		electrodeWidth: electrodeWidth / 1000,
		firstElectrodeDegrees: firstElectrode,
		direction: form.direction,
		positions: form.positions?.length === electrodeCount ? [...form.positions] : null,
	};
	const outline = attempt(() => createOutline(shape));
	if (outline === null) {
		return { points: "These points do not make a closed line around the thigh without crossings." };
	}
	// A polyline is a little shorter than the tape that it was made from.
	const around = Number((100 * outline.circumference).toFixed(3));
	if (around < POSSIBLE[0] || around > POSSIBLE[1]) {
		const field = form.shape === "points" ? "points" : "circumference";
		return {
			[field]: `The thigh would measure ${text(around, 1)} cm around; enter ${POSSIBLE[0]} to ${POSSIBLE[1]} cm.`,
		};
	}
	const limb: LimbSetup = {
		side: form.side,
		outline: shape,
		fatThickness: fat,
		...(form.fatSource !== "unsaid" && { fatSource: form.fatSource }),
		level: level / 100,
	};
	const thigh = attempt(() => createThigh(limb));
	if (thigh === null) return { fat: "That leaves no room for muscle in a thigh of this size: enter less." };
	const electrodes = attempt(() => placeElectrodes(outline, bandOf(band)));
	if (electrodes === null) {
		return { electrodeWidth: "The electrodes would overlap: enter a smaller width or fewer electrodes." };
	}
	return {
		argument: { personId: form.personId, limb, band, ...(places !== null && { places }) },
		outline,
		thigh,
		electrodes,
		isUnusual: around < USUAL[0] || around > USUAL[1],
	};
}

export function isRead(result: ReadSetUp | FieldErrors): result is ReadSetUp {
	return "argument" in result;
}

/** A decimal number with a point or a comma; null for anything else. */
export function parseNumber(entered: string): number | null {
	const trimmed = entered.trim().replace("\u2212", "-").replace(",", ".");
	return /^-?\d+(\.\d*)?$|^-?\.\d+$/.test(trimmed) ? Number(trimmed) : null;
}

type ReadNumber = (field: SetUpField, low: number, high: number, unit: string) => number;

function readShape(form: SetUpForm, errors: FieldErrors, number: ReadNumber): LimbSetup["outline"] | null {
	switch (form.shape) {
		case "round": {
			const around = number("circumference", ...POSSIBLE, "cm");
			return circleFromCircumference(around / 100) as LimbSetup["outline"];
		}
		case "oval": {
			const around = number("circumference", ...POSSIBLE, "cm");
			const width = number("width", 5, 40, "cm");
			const depth = number("depth", 5, 40, "cm");
			return ellipseFromCircumference(around / 100, width / depth) as LimbSetup["outline"];
		}
		case "points": {
			const points = readPoints(form.points);
			if (typeof points === "string") {
				errors.points = points;
				return null;
			}
			return { type: "smooth", points };
		}
	}
}

/** @returns null for one band, whose place the thigh's own measures tell, and where nothing was entered */
function readPlaces({ places }: SetUpForm, errors: FieldErrors): BandPlace[] | null {
	if (places.every(({ above, around }) => above.trim() === "" && around.trim() === "")) return null;
	const read = places.map((place, i): BandPlace => {
		const number = (field: keyof PlaceForm, [low, high]: readonly [number, number]): number => {
			const value = parseNumber(place[field]);
			if (value !== null && value >= low && value <= high) return value / 100;
			errors[`${field} ${i}`] = `Enter a number from ${low} to ${high} cm, or leave all places empty.`;
			return Number.NaN;
		};
		return { aboveKnee: number("above", HEIGHTS), circumference: number("around", POSSIBLE) };
	});
	for (const [i, one] of read.entries()) {
		const near = read
			.slice(0, i)
			.findIndex(({ aboveKnee }) => Math.abs(aboveKnee - one.aboveKnee) < usualElectrodeHeightMetre);
		if (near >= 0)
			errors[`above ${i}`] =
				`Bands ${near + 1} and ${i + 1} would overlap: they are at least ${text(100 * usualElectrodeHeightMetre, 1)} cm apart.`;
	}
	return read;
}

/** @returns m */
function readFat({ fatSource }: SetUpForm, number: ReadNumber): number {
	switch (fatSource) {
		case "assumed":
			return USUAL_FAT;
		case "skinfold":
			return fatFromSkinfold(number("fat", 2, 120, "mm") / 1000);
		case "ultrasound":
		case "unsaid":
			return number("fat", 1, 60, "mm") / 1000;
	}
}

const FEWEST_POINTS = 6;

/** cm to m, moved so that the origin lies in their middle; or what is wrong. */
function readPoints(entered: string): [number, number][] | string {
	const points: [number, number][] = [];
	for (const [i, line] of entered.split("\n").entries()) {
		if (line.trim() === "") continue;
		const parts = line.trim().split(/[\s;]+/);
		const x = parseNumber(parts[0] ?? "");
		const y = parseNumber(parts[1] ?? "");
		if (parts.length !== 2 || x === null || y === null || Math.abs(x) > 60 || Math.abs(y) > 60) {
			return `Line ${i + 1} should be two numbers in cm, such as 8.5 -2.`;
		}
		points.push([x / 100, y / 100]);
	}
	if (points.length < FEWEST_POINTS)
		return `Enter at least ${FEWEST_POINTS} points; there are ${points.length}.`;
	const middle = points.reduce<Point>(
		([sx, sy], [x, y]) => [sx + x / points.length, sy + y / points.length],
		[0, 0],
	);
	return points.map(([x, y]) => [x - middle[0], y - middle[1]]);
}

/** `core` says what is impossible by a RangeError; here it came from what a person typed. */
function attempt<T>(make: () => T): T | null {
	try {
		return make();
	} catch (error) {
		if (error instanceof RangeError) return null;
		throw error;
	}
}

function text(value: number, digits: number): string {
	return String(Number(value.toFixed(digits)));
}
