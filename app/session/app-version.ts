import packageFile from "../../package.json" with { type: "json" };

export const APP_VERSION: string = packageFile.version;
