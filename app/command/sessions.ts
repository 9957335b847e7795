import type { SessionSummary } from "../contract.ts";
import { faultSentence } from "./fault-sentence.ts";
import { openRecords } from "./open-records.ts";
import type { Verb } from "./verb.ts";

const PAGE = 200;

/** Lists all sessions of a file, newest first, as a JSON array of `SessionSummary`. */
export const sessions: Verb = {
	usage: "tautline sessions --db FILE",
	options: { db: { type: "string" } },
	async run({ db }, positionals) {
		if (db === undefined || db === "") return { exitCode: 2, message: "--db FILE is missing." };
		if (positionals.length > 0) return { exitCode: 2, message: `'${positionals[0]}' is not expected here.` };
		const opened = openRecords(db);
		if (!opened.ok) return { exitCode: 1, message: faultSentence(opened.error) };
		const store = opened.value;
		try {
			const all: SessionSummary[] = [];
			for (;;) {
				const page = store.listSessions({ personId: null, offset: all.length, limit: PAGE });
				if (!page.ok) return { exitCode: 1, message: faultSentence(page.error) };
				all.push(...page.value.sessions);
				if (page.value.sessions.length < PAGE) break;
			}
			process.stdout.write(`${JSON.stringify(all, null, "\t")}\n`);
			return { exitCode: 0 };
		} finally {
			store.dispose();
		}
	},
};
