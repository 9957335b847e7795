/** The command line: `npm run -s tautline -- VERB …`. JSON on stdout, messages on stderr;
 *  exit code 0 done, 1 the world's fault (file, port, data), 2 wrong call. */
import { type ParseArgsConfig, parseArgs } from "node:util";
import type { Verb } from "./verb.ts";

const verbs: Record<string, () => Promise<Verb>> = {
	predict: async () => (await import("./predict.ts")).predict,
	picture: async () => (await import("./picture.ts")).picture,
	simulate: async () => (await import("./simulate.ts")).simulate,
	"try-profile": async () => (await import("./try-profile.ts")).tryProfileVerb,
	"check-board": async () => (await import("./check-board.ts")).checkBoardVerb,
	record: async () => (await import("./record.ts")).record,
	sessions: async () => (await import("./sessions.ts")).sessions,
	export: async () => (await import("./export.ts")).exportSession,
};

async function main(argv: readonly string[]): Promise<number> {
	const [name, ...rest] = argv;
	const load = name !== undefined && Object.hasOwn(verbs, name) ? verbs[name] : undefined;
	if (load === undefined) {
		const wanted = name === undefined || name === "help" || name === "--help";
		if (!wanted) process.stderr.write(`tautline: there is no verb '${name}'\n`);
		for (const loadVerb of Object.values(verbs)) process.stderr.write(`${(await loadVerb()).usage}\n`);
		return wanted && name !== undefined ? 0 : 2;
	}
	const verb = await load();
	const end = rest.indexOf("--");
	if ((end < 0 ? rest : rest.slice(0, end)).includes("--help")) {
		process.stderr.write(`usage: ${verb.usage}\n`);
		return 0;
	}
	let parsed: ReturnType<typeof parseArgs>;
	try {
		const config: ParseArgsConfig = {
			args: rest,
			options: verb.options,
			allowPositionals: true,
			strict: true,
		};
		parsed = parseArgs(config);
	} catch (error) {
		process.stderr.write(`tautline ${name}: ${(error as Error).message}\nusage: ${verb.usage}\n`);
		return 2;
	}
	const outcome = await verb.run(parsed.values as Record<string, string | undefined>, parsed.positionals);
	if (outcome.exitCode !== 0) process.stderr.write(`tautline ${name}: ${outcome.message}\n`);
	if (outcome.exitCode === 2) process.stderr.write(`usage: ${verb.usage}\n`);
	return outcome.exitCode;
}

// Whoever reads our output may stop early, as `head` does: that is no failure.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
	if (error.code === "EPIPE") process.exit(0);
	process.stderr.write(`tautline: the output cannot be written (${error.code}): send it to another place.\n`);
	process.exit(1);
});

process.exitCode = await main(process.argv.slice(2));
