import manifest from "../package.json" with { type: "json" };

/** The app's version as in `package.json`, stored with every record. */
export const appVersion: string = manifest.version;
