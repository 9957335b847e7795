import { defineConfig } from "vitest/config";

export default defineConfig({
	test: {
		projects: [
			{
				test: {
					name: "unit",
					include: ["test/**/*.test.ts"],
					exclude: ["test/browser/**"],
					testTimeout: 30_000,
				},
			},
			{
				test: {
					name: "browser",
					include: ["test/browser/**/*.test.ts"],
					testTimeout: 60_000,
					hookTimeout: 60_000,
					fileParallelism: false,
				},
			},
		],
	},
});
