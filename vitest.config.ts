import { availableParallelism } from "node:os";
import { defineConfig } from "vitest/config";

/** Walks and checks that take long and go beside the main ones: `npm run longer`. */
const longer = [
	"browser/demo",
	"browser/left-out",
	"browser/next-day",
	"browser/sight",
	"browser/volume",
	"mesh/random-limbs",
	"outside/forward-convergence",
	"physics/cut-corners",
	"session/replay-volume",
	"volume/ball-change",
	"volume/band-movement",
	"volume/move-sensitivity",
].map((name) => `test/${name}.test.ts`);
const walking = {
	testTimeout: 60_000,
	hookTimeout: 60_000,
	// Walks wait for holds and rests most of their time: several share a core. Each has its own app and browser.
	maxWorkers: 3,
	// after the unit tests, which leave no core idle
	sequence: { groupOrder: 1 },
};

export default defineConfig({
	test: {
		projects: [
			{
				test: {
					name: "unit",
					include: ["test/**/*.test.ts"],
					exclude: ["test/browser/**", ...longer],
					testTimeout: 30_000,
					// The usual one less than there are cores would leave one of two cores idle.
					maxWorkers: availableParallelism(),
				},
			},
			{
				test: {
					name: "browser",
					include: ["test/browser/**/*.test.ts"],
					exclude: longer,
					...walking,
				},
			},
			{ test: { name: "longer", include: longer, ...walking } },
		],
	},
});
