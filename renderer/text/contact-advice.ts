/** Whether the band sits well, and what to do about it, in everyday words. */
import type { AppState, Fault } from "../../app/contract.ts";
import { homeFaultWords } from "./home-faults.ts";
import { homeWords } from "./home-words.ts";

/** What to do about a band that is not heard: what is usual, unless it is known to be something else. */
export function lostBandText(fault: Fault, usual: string): string {
	switch (fault.kind) {
		case "battery-empty":
		case "second-board":
		case "computer-slept":
		case "too-disturbed": {
			const { what, next } = homeFaultWords(fault);
			return `${what} ${next}`;
		}
		default:
			return usual;
	}
}

/** From so many bad pads on the band as a whole sits badly (our own bound). */
const MANY = 5;

export function contactAdvice({ link, contacts, leftOut }: Pick<AppState, "link" | "contacts" | "leftOut">): {
	readonly text: string;
	readonly isGood: boolean;
} {
	const words = homeWords.contact;
	if (link.state === "reconnecting") return { text: lostBandText(link.fault, words.lost), isGood: false };
	if (link.state === "failed") {
		const { what, next } = homeFaultWords(link.fault);
		return { text: `${what} ${next}`, isGood: false };
	}
	if (link.state !== "streaming") return { text: words.waiting, isGood: false };
	const numbers = (verdicts: readonly string[]) =>
		contacts.flatMap(({ verdict }, i) => (verdicts.includes(verdict) ? [i + 1] : []));
	const failing = leftOut?.electrodes.map(({ number }) => number) ?? [];
	const bad = [...new Set([...numbers(["off", "poor"]), ...failing])].sort((a, b) => a - b);
	if (bad.length >= MANY) return { text: words.many, isGood: false };
	if (bad.length > 0) return { text: words.bad(bad.join(", ")), isGood: false };
	if (contacts.length === 0 || contacts.every(({ verdict }) => verdict === "unknown")) {
		return { text: words.unknown, isGood: false };
	}
	const fair = numbers(["fair"]);
	if (fair.length >= MANY) return { text: words.many, isGood: false };
	return fair.length > 0
		? { text: words.fair(fair.join(", ")), isGood: true }
		: { text: words.good, isGood: true };
}
