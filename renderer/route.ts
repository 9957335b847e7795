/** Which screen is shown, kept in the address so that back, forward and reload work. */
export type Route =
	| { readonly screen: "live" | "sessions" | "set-up" | "connect" | "about" }
	| { readonly screen: "replay"; readonly sessionId: number };

export type ScreenName = Route["screen"];

export function readRoute(hash: string): Route {
	const replay = /^#\/sessions\/([1-9]\d{0,14})$/.exec(hash);
	if (replay !== null) return { screen: "replay", sessionId: Number(replay[1]) };
	switch (hash) {
		case "#/sessions":
			return { screen: "sessions" };
		case "#/set-up":
			return { screen: "set-up" };
		case "#/connect":
			return { screen: "connect" };
		case "#/about":
			return { screen: "about" };
		default:
			return { screen: "live" };
	}
}

export function hashOf(route: Route): string {
	return route.screen === "replay" ? `#/sessions/${route.sessionId}` : `#/${route.screen}`;
}
