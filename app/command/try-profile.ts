import { readFile } from "node:fs/promises";
import { sentenceOf } from "../../core/invalid-input.ts";
import { parseProfile } from "../../core/wire/profile/board-profile.ts";
import { agreementWithDisc, tryProfile } from "../../core/wire/profile/profile-trial.ts";
import { readJsonFile } from "./read-json-file.ts";
import type { Outcome, Verb } from "./verb.ts";

/** Reads a recorded text log by a board profile: frames, refused lines by cause with the first of them, the mean frame
 *  and how well it goes with a uniform disc. */
export const tryProfileVerb: Verb = {
	usage: "tautline try-profile PROFILE.json LOG.txt",
	options: {},
	async run(_values, [profilePath, logPath, ...more]): Promise<Outcome> {
		if (profilePath === undefined || logPath === undefined || more.length > 0) {
			return { exitCode: 2, message: "expected a profile and a log file" };
		}
		const file = await readJsonFile([profilePath], "profile");
		if (!file.ok) return file.error;
		const profile = parseProfile(file.value.input);
		if (!profile.ok) return { exitCode: 1, message: `${profilePath}: ${sentenceOf(profile.error)}` };
		let log: Uint8Array;
		try {
			log = await readFile(logPath);
		} catch (error) {
			const { code } = error as NodeJS.ErrnoException;
			return {
				exitCode: 1,
				message: `${logPath} cannot be read (${code ?? "it is too large"}): check the path.`,
			};
		}
		const { firstFrame, meanFrame, ...trial } = tryProfile(profile.value, log);
		const output = {
			...trial,
			unit: profile.value.value.unit,
			agreementWithDisc: meanFrame === null ? null : agreementWithDisc(profile.value, meanFrame),
			firstFrame: firstFrame === null ? null : Array.from(firstFrame),
			meanFrame: meanFrame === null ? null : Array.from(meanFrame),
		};
		process.stdout.write(`${JSON.stringify(output)}\n`);
		if (trial.frames > 0) return { exitCode: 0 };
		return { exitCode: 1, message: `${logPath}: no frame is found by this profile: look at firstRefused.` };
	},
};
