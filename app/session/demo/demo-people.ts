/** Whom the demo clinic looks after. All of them, and everything about them, is invented. */
import type { BandSetup, LimbSetup, RequestArgument } from "../../contract.ts";
import { inventedBand } from "../../link/simulated/invented-person.ts";
import type { Seat } from "./worn-band.ts";

export type Story = "recovery" | "plateau" | "slippage" | "poor-contact" | "new";

export interface DemoPerson {
	readonly story: Story;
	readonly code: string;
	readonly displayName: string;
	readonly affectedSide: "left" | "right";
	readonly goals: string;
	/** Right and left differ a little. */
	readonly limbs: { readonly affected: LimbSetup; readonly other: LimbSetup };
	readonly weekdays: readonly number[];
	/** Share of the planned sessions that are left out. */
	readonly missedShare: number;
}

/** What a day is like for a person. Shares of full effort, pain 0 to 10, effort on the CR10 scale. */
export interface Day {
	readonly reference: number;
	readonly effort: number;
	/** Share of the hold that is held. */
	readonly held: number;
	/** Share of the effort that is lost by the last repetition of a set. */
	readonly tiring: number;
	readonly painBefore: number;
	readonly painAfter: number;
	readonly toldEffort: number;
}

export const DEMO_DAYS = 42;

function limb(side: "left" | "right", a: number, b: number, fatThickness: number): LimbSetup {
	return { side, outline: { type: "ellipse", a, b }, fatThickness, level: 0.5 };
}

export const demoPeople: readonly DemoPerson[] = [
	{
		story: "recovery",
		code: "DEMO-1",
		displayName: "Invented person: recovers",
		affectedSide: "right",
		goals: "Climb stairs without the rail; back to cycling in spring.",
		limbs: { affected: limb("right", 0.08, 0.0855, 0.008), other: limb("left", 0.082, 0.0875, 0.008) },
		weekdays: [1, 3, 5],
		missedShare: 0.08,
	},
	{
		story: "plateau",
		code: "DEMO-2",
		displayName: "Invented person: stays level",
		affectedSide: "left",
		goals: "Walk for an hour without a break.",
		limbs: { affected: limb("left", 0.085, 0.089, 0.012), other: limb("right", 0.086, 0.09, 0.012) },
		weekdays: [1, 2, 4, 5],
		missedShare: 0.4,
	},
	{
		story: "slippage",
		code: "DEMO-3",
		displayName: "Invented person: band slips",
		affectedSide: "right",
		goals: "Kneel in the garden again.",
		limbs: { affected: limb("right", 0.076, 0.081, 0.007), other: limb("left", 0.077, 0.082, 0.007) },
		weekdays: [2, 4, 6],
		missedShare: 0.1,
	},
	{
		story: "poor-contact",
		code: "DEMO-4",
		displayName: "Invented person: poor contact",
		affectedSide: "left",
		goals: "Stand up from a low chair without hands.",
		limbs: { affected: limb("left", 0.083, 0.086, 0.014), other: limb("right", 0.084, 0.087, 0.014) },
		weekdays: [1, 3, 5],
		missedShare: 0.15,
	},
	{
		story: "new",
		code: "DEMO-5",
		displayName: "Invented person: begins today",
		affectedSide: "right",
		goals: "Straighten the knee fully.",
		limbs: { affected: limb("right", 0.079, 0.084, 0.009), other: limb("left", 0.08, 0.085, 0.009) },
		weekdays: [1, 2, 3, 4, 5, 6, 7],
		missedShare: 0,
	},
];

/** Halfway through, the band of `slippage` begins to be worn turned by this much, degrees. */
export const TURNED_DEGREES = 12;
export const TURNED_FROM_DAY = 22;

export function bandOf(firstElectrodeDegrees = 0): BandSetup {
	return { ...inventedBand(16), firstElectrodeDegrees };
}

/** @param share of the six weeks that have passed, 0 to 1 @param luck standard normal, this day's */
export function dayOf(story: Story, share: number, luck: number): Day {
	const whole = (value: number) => Math.max(0, Math.min(10, Math.round(value)));
	const rise = 1 - Math.exp(-2.2 * share);
	switch (story) {
		case "recovery":
		case "slippage":
			return {
				reference: 0.95,
				effort: 0.42 + 0.42 * rise + 0.025 * luck,
				held: Math.min(1, 0.72 + 0.35 * rise),
				tiring: 0.22 - 0.16 * rise,
				painBefore: whole(3.4 - 3 * share),
				painAfter: whole(4.4 - 3.4 * share + 0.4 * luck),
				toldEffort: whole(6 - 2.5 * share),
			};
		case "plateau":
			return {
				reference: 0.85,
				effort: 0.52 + 0.035 * luck,
				held: 0.9,
				tiring: 0.18,
				painBefore: 3,
				painAfter: whole(3.2 + 0.5 * luck),
				toldEffort: whole(5 + 0.6 * luck),
			};
		case "poor-contact":
		case "new":
			return {
				reference: 0.9,
				effort: 0.5 + 0.25 * share + 0.03 * luck,
				held: Math.min(1, 0.85 + 0.2 * share),
				tiring: 0.15,
				painBefore: whole(2.6 - 1.5 * share),
				painAfter: whole(3.2 - 1.5 * share),
				toldEffort: whole(4.6),
			};
	}
}

/** Now and then something happens to the band. */
export function isTroubled(story: Story, session: number): boolean {
	return (story === "slippage" && session % 2 === 1) || (story === "poor-contact" && session % 3 !== 0);
}

export interface Incident {
	readonly seconds: number;
	readonly label: string;
}

/** What happens to the band in a troubled session, as marked in its record. */
export function incidentsOf(story: Story): readonly Incident[] {
	return story === "slippage"
		? [
				{ seconds: FIRST_SLIP, label: "Band slips by 5 mm (invented)" },
				{ seconds: SECOND_SLIP, label: "Band slips by 5 mm more (invented)" },
			]
		: [{ seconds: DRY_FROM, label: "An electrode dries out and lifts off now and then (invented)" }];
}

const FIRST_SLIP = 30;
const SECOND_SLIP = 62;
const DRY_FROM = 14;

const wellSeated: Seat = { slipMetre: 0, contactFactor: 1 };
export const LARGEST_SLIP_METRE = 0.01;

/** How the band sits `seconds` into a session. */
export function seatAt(story: Story, isTroubledNow: boolean, seconds: number): Seat {
	if (!isTroubledNow) return wellSeated;
	if (story === "slippage") {
		const steps = seconds < FIRST_SLIP ? 0 : seconds < SECOND_SLIP ? 1 : 2;
		return { ...wellSeated, slipMetre: (LARGEST_SLIP_METRE * steps) / 2 };
	}
	if (seconds < DRY_FROM) return { ...wellSeated, contactFactor: 2 };
	const within = (seconds - DRY_FROM) % 40;
	return { ...wellSeated, contactFactor: within < 8 ? 25 : within < 11 ? 250 : 12 };
}

export type Notes = Omit<RequestArgument<"saveSoap">, "sessionId">;

/** What the invented physiotherapist wrote, by the place of the session among all of them. */
export function notesFor(story: Story, session: number, count: number): Notes | null {
	const first = session === 0;
	const last = session === count - 1;
	const middle = session === count >> 1;
	if (!first && !middle && !last) return null;
	const subjective = first
		? "Invented notes. Stiff in the morning, pain on stairs."
		: last
			? "Invented notes. Feels steadier, sleeps through."
			: "Invented notes. Less stiff; sore after the garden.";
	const course: Readonly<Record<Story, string>> = {
		recovery: first ? "Weak quad set, holds end early." : "Holds are longer and stronger than at the start.",
		plateau: first ? "Weak quad set." : "No change that is larger than expected since the third week.",
		slippage: "Band found lower than fitted; compare these sessions with care.",
		"poor-contact": "One electrode dries out; skin prepared again.",
		new: "First visit.",
	};
	return {
		subjective,
		objective: "Knee extension lacks 5°. No swelling.",
		assessment: course[story],
		plan: last ? "Review the plan next week." : "Go on as planned.",
	};
}
