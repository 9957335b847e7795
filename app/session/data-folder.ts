import { homedir } from "node:os";
import { join } from "node:path";

/** Where records are kept unless the person says otherwise, by each system's own convention. */
export function defaultDataFolder(
	platform: NodeJS.Platform = process.platform,
	env: NodeJS.ProcessEnv = process.env,
	home: string = homedir(),
): string {
	switch (platform) {
		case "win32":
			return join(env.LOCALAPPDATA ?? join(home, "AppData", "Local"), "Tautline");
		case "darwin":
			return join(home, "Library", "Application Support", "Tautline");
		default:
			// XDG Base Directory Specification: a relative value is to be ignored.
			return join(
				env.XDG_DATA_HOME?.startsWith("/") ? env.XDG_DATA_HOME : join(home, ".local", "share"),
				"tautline",
			);
	}
}
