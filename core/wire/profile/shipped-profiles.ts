import { type BoardProfile, parseProfile } from "./board-profile.ts";
import comma8Four from "./shipped/comma-8-four-terminal.json" with { type: "json" };
import comma8Two from "./shipped/comma-8-two-terminal.json" with { type: "json" };
import comma16Four from "./shipped/comma-16-four-terminal.json" with { type: "json" };
import comma16Two from "./shipped/comma-16-two-terminal.json" with { type: "json" };
import comma32Four from "./shipped/comma-32-four-terminal.json" with { type: "json" };
import comma32Two from "./shipped/comma-32-two-terminal.json" with { type: "json" };

const files = [comma8Four, comma8Two, comma16Four, comma16Two, comma32Four, comma32Two];

/** Profiles that come with the app: a place to begin, and for boards that are free to print what a host likes. */
export const shippedProfiles: readonly BoardProfile[] = files.map((file) => {
	const read = parseProfile(file);
	if (!read.ok)
		throw new TypeError(`shipped profile ${file.name}: ${read.error.path} ${read.error.expected}`);
	return read.value;
});
