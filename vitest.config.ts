import { availableParallelism } from "node:os";
import { join } from "node:path";
import { defineConfig } from "vitest/config";
import { memoryFolder } from "./test/memory-folder.ts";

// Every worker thread, verb and app that a test starts is compiled once for all, which is most of what it takes to start.
process.env.NODE_COMPILE_CACHE ??= join(import.meta.dirname, "test", "artefacts", "compiled");

const folder = memoryFolder();
if (folder !== null) process.env.TMPDIR = folder;

/** Walks and checks that take long and go beside the main ones: `npm run longer`. */
const longer = [
	"browser/demo",
	"browser/left-out",
	"browser/next-day",
	"browser/replay-volume",
	"browser/sight",
	"browser/volume",
	"browser/waiting-times",
	"mesh/random-limbs",
	"outside/forward-convergence",
	"physics/cut-corners",
	"session/replay-volume",
	"signal/watch-minutes",
	"volume/ball-change",
	"volume/band-movement",
	"volume/hard-cylinders",
	"volume/moved-readings",
].map((name) => `test/${name}.test.ts`);
/** In a browser, or with a board that keeps real time: not to be held up by tests that only compute. */
const walks = [
	"test/browser/**/*.test.ts",
	"test/link/faults-over-terminals.test.ts",
	"test/session/board-profiles.test.ts",
];
/** For machines that do much else: a test that hangs is told in the end, and none fails for being slow. */
const patience = { testTimeout: 120_000, hookTimeout: 120_000 };
/** Each has its own app and browser. Where one command runs both, walks come after unit tests. */
const walking = { ...patience, maxWorkers: 3, sequence: { groupOrder: 1 } };

export default defineConfig({
	test: {
		projects: [
			{
				test: {
					name: "unit",
					include: ["test/**/*.test.ts"],
					exclude: [...walks, ...longer],
					...patience,
					// The usual one less than there are cores would leave one of two cores idle.
					maxWorkers: availableParallelism(),
					// Modules are loaded, and what is hot in them compiled, once a worker; no test changes them.
					isolate: false,
				},
			},
			{
				test: {
					name: "browser",
					include: walks,
					exclude: longer,
					...walking,
				},
			},
			{ test: { name: "longer", include: longer, ...walking } },
		],
	},
});
