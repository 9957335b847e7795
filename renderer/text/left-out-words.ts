/** What pictures are made without, in plain words. */
import type { LeftOutState, TrendMarks } from "../../app/contract.ts";

type LostElectrode = LeftOutState["electrodes"][number];

/** `Electrode 7 is` or `Electrodes 7 and 9 are`. */
export function electrodesText(numbers: readonly number[]): string {
	if (numbers.length === 1) return `Electrode ${numbers[0]} is`;
	return `Electrodes ${listText(numbers)} are`;
}

/** What is left out, and what to do about it. */
export function leftOutWords(leftOut: LeftOutState): string {
	const { electrodes, readings, isTrustworthy } = leftOut;
	const parts = [
		sentence(
			electrodes.filter(({ sign, isSinceRest }) => sign === "contact" && !isSinceRest),
			(are) => `${are} off`,
			"press or wet",
		),
		sentence(
			electrodes.filter(({ sign, isSinceRest }) => sign !== "contact" && !isSinceRest),
			(are) => `${are} failing`,
			"press or wet",
		),
		sentence(
			electrodes.filter(({ isSinceRest }) => isSinceRest),
			(are) => `${are.replace(/ (is|are)$/, "")} failed when rest was taken`,
			"press or wet",
			", then take rest again",
		),
		electrodes.length === 0 && readings > 0
			? `${readings === 1 ? "1 reading is" : `${readings} readings are`} at the board’s limit and left out; a lower gain helps.`
			: "",
	].filter((part) => part !== "");
	return isTrustworthy ? parts.join(" ") : `Check the band: too much is left out. ${parts.join(" ")}`;
}

/** The same of a recording, where nothing can be done any more. */
export function leftOutThenWords({ electrodes, readings, isTrustworthy }: LeftOutState): string {
	const numbers = electrodes.map(({ number }) => number);
	const what =
		numbers.length === 0
			? `${readings === 1 ? "1 reading was" : `${readings} readings were`} at the board’s limit and left out.`
			: `${electrodesText(numbers).replace(/ (is|are)$/, "")} failed here: ${numbers.length === 1 ? "its" : "their"} readings are left out.`;
	return isTrustworthy ? what : `${what} Too much is left out for these values to be believed.`;
}

function sentence(
	lost: readonly LostElectrode[],
	what: (are: string) => string,
	todo: string,
	after = "",
): string {
	if (lost.length === 0) return "";
	const numbers = lost.map(({ number }) => number);
	const [their, them] = lost.length === 1 ? ["its", "it"] : ["their", "them"];
	return `${what(electrodesText(numbers))}: ${their} readings are left out; ${todo} ${them}${after}.`;
}

/** Over a span of trends: the first that fits is shown. */
export function spanNames({ electrodes, isTrustworthy }: TrendMarks["leftOut"][number]): readonly string[] {
	if (electrodes.length === 0) return ["readings at limit", "limit"];
	const list = electrodes.join(", ");
	const name = electrodes.length === 1 ? `electrode ${list} out` : `electrodes ${list} out`;
	return isTrustworthy ? [name, `${list} out`, list] : [`check band: ${name}`, name, "check band"];
}

/** `7`, `7 and 9` or `3, 7 and 9`. */
export function listText(things: readonly (number | string)[]): string {
	return things.length < 2 ? things.join("") : `${things.slice(0, -1).join(", ")} and ${things.at(-1)}`;
}
