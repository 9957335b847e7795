/** Which screen is shown, kept in the address so that back, forward and reload work. */
export type Route =
	| { readonly screen: PlainScreen }
	/** For a person; without, for the one whom the set-up names. */
	| { readonly screen: EitherScreen; readonly personId?: number }
	| { readonly screen: PersonScreen; readonly personId: number }
	| { readonly screen: "replay" | SessionScreen; readonly sessionId: number }
	/** `second` is null until it is chosen. */
	| { readonly screen: "compare"; readonly first: number; readonly second: number | null }
	/** A board profile: a new one, or the one of a name to be changed or copied. */
	| { readonly screen: "profile"; readonly name: string | null; readonly isCopy: boolean };

type PlainScreen = (typeof plainScreens)[number];
type PersonScreen = (typeof personScreens)[number];
type SessionScreen = (typeof sessionScreens)[number];
type EitherScreen = (typeof eitherScreens)[number];

export type ScreenName = Route["screen"];

const plainScreens = [
	"live",
	"check",
	"volume",
	"people",
	"sessions",
	"connect",
	"about",
	"picture",
	"home",
] as const;
const personScreens = ["person", "plan", "reference", "progress"] as const;
const sessionScreens = ["review", "report"] as const;
const eitherScreens = ["set-up", "exercise"] as const;

export function readRoute(hash: string): Route {
	const compared = /^#\/compare\/([1-9]\d{0,14})(?:\/([1-9]\d{0,14}))?$/.exec(hash);
	if (compared !== null) {
		const [, one, two] = compared;
		return { screen: "compare", first: Number(one), second: two === undefined ? null : Number(two) };
	}
	const [isProfile, how, name] = /^#\/profile(?:\/(edit|copy)\/([^/]{1,2000}))?$/.exec(hash) ?? [];
	if (isProfile !== undefined) {
		return { screen: "profile", name: name === undefined ? null : nameFrom(name), isCopy: how === "copy" };
	}
	const [, first, number] = /^#\/([a-z-]+)(?:\/([1-9]\d{0,14}))?$/.exec(hash) ?? [];
	if (number === undefined) {
		const screen = [...plainScreens, ...eitherScreens].find((known) => known === first);
		return { screen: screen ?? "live" };
	}
	if (first === "sessions") return { screen: "replay", sessionId: Number(number) };
	const ofSession = sessionScreens.find((known) => known === first);
	if (ofSession !== undefined) return { screen: ofSession, sessionId: Number(number) };
	const screen = [...personScreens, ...eitherScreens].find((known) => known === first);
	return screen === undefined ? { screen: "live" } : { screen, personId: Number(number) };
}

/** Goes to the window before the address's screen is shown: a screen that prevents it stays, and puts its address back. */
export const leaveEvent = "tautline-leave";

/** Addresses that people change by hand may be no text: then it is a new profile. */
function nameFrom(encoded: string): string | null {
	try {
		return decodeURIComponent(encoded);
	} catch (error) {
		if (error instanceof URIError) return null;
		throw error;
	}
}

export function hashOf(route: Route): string {
	if (route.screen === "profile") {
		if (route.name === null) return "#/profile";
		return `#/profile/${route.isCopy ? "copy" : "edit"}/${encodeURIComponent(route.name)}`;
	}
	if (route.screen === "replay") return `#/sessions/${route.sessionId}`;
	if (route.screen === "compare") {
		return `#/compare/${route.first}${route.second === null ? "" : `/${route.second}`}`;
	}
	if ("sessionId" in route) return `#/${route.screen}/${route.sessionId}`;
	if ("personId" in route && route.personId !== undefined) return `#/${route.screen}/${route.personId}`;
	return `#/${route.screen}`;
}
