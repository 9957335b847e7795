import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { createVolumeBuilder, type VolumeBuilder } from "../../app/pipeline/volume-builder.ts";
import type { VolumeRequest } from "../../app/pipeline/volume-messages.ts";
import { createPattern } from "../../core/band/patterns.ts";

const workerFile = new URL("../../app/pipeline/volume-worker.ts", import.meta.url);
const one = createPattern(8, "adjacent", "four-terminal").terminals;

function createRequest(part: Partial<VolumeRequest> = {}): VolumeRequest {
	return {
		limb: { side: "left", outline: { type: "circle", radius: 0.08 }, fatThickness: 0.008, level: 0.5 },
		band: {
			name: "Eight",
			electrodeCount: 8,
			electrodeWidth: 0.02,
			firstElectrodeDegrees: 0,
			direction: "anticlockwise",
			positions: null,
		},
		places: [
			{ aboveKnee: 0.2, circumference: 0.5 },
			{ aboveKnee: 0.15, circumference: 0.46 },
		],
		terminals: Uint16Array.from([...one, ...one.map((electrode) => electrode + 8)]),
		frequencyHertz: 50_000,
		...part,
	};
}

const never = new AbortController().signal;

describe("the builder of volumes", () => {
	let folder: string;
	let builder: VolumeBuilder;

	beforeAll(() => {
		folder = mkdtempSync(join(tmpdir(), "tautline-volumes-"));
		builder = createVolumeBuilder(workerFile, folder);
	});
	afterAll(async () => {
		await builder.dispose();
		rmSync(folder, { recursive: true, force: true });
	});

	test("given up in the middle settles at once, leaves nothing, and the next one is made", async () => {
		const controller = new AbortController();
		const given = await builder.build(createRequest(), () => controller.abort(), controller.signal);
		expect(given).toEqual({ ok: false, error: { kind: "cancelled" } });
		expect(await builder.build(createRequest(), () => {}, controller.signal)).toEqual(given);
		await builder.dispose();
		expect(readdirSync(folder)).toEqual([]);
	});

	test("makes a model step by step, keeps it, and finds it again", async () => {
		const shares: number[] = [];
		const made = await builder.build(createRequest(), (_, share) => shares.push(share), never);
		if (!made.ok) throw new Error(JSON.stringify(made.error));
		expect(made.value.wasKept).toBe(false);
		expect(shares).toEqual([...shares].sort((a, b) => a - b));
		expect(shares.length).toBeGreaterThan(4);
		expect(readdirSync(folder)).toHaveLength(1);

		const { geometry, model, modelRest, noisePerOhm, regions } = made.value;
		const nodes = geometry.nodesPerLevel * geometry.levels.length;
		expect(geometry.nodes).toHaveLength(2 * nodes);
		expect(model.matrix.rowCount).toBe(nodes + regions.length);
		expect(modelRest).toHaveLength(model.readingCount);
		expect(noisePerOhm).toHaveLength(regions.length);
		expect(geometry.bandHeights).toEqual([0.2, 0.15]);
		expect(geometry.electrodeCounts).toEqual([8, 8]);
		expect(new Set(geometry.electrodeOfFace).size).toBe(16);

		const found = await builder.build(createRequest(), () => {}, never);
		if (!found.ok) throw new Error(JSON.stringify(found.error));
		expect(found.value.wasKept).toBe(true);
		expect({ ...found.value, wasKept: false }).toEqual(made.value);
		expect(readdirSync(folder)).toHaveLength(1);
	});

	test("says in a sentence what cannot be", async () => {
		const request = createRequest({
			places: [
				{ aboveKnee: 0.2, circumference: 0.5 },
				{ aboveKnee: 0.19, circumference: 0.49 },
			],
		});
		expect(await builder.build(request, () => {}, never)).toEqual({
			ok: false,
			error: expect.objectContaining({ kind: "invalid-argument", got: expect.stringContaining("overlap") }),
		});
	});

	test("one band gives a slab", async () => {
		const request = createRequest({ places: [{ aboveKnee: 0.2, circumference: 0.5 }], terminals: one });
		const made = await builder.build(request, () => {}, never);
		if (!made.ok) throw new Error(JSON.stringify(made.error));
		expect(made.value.geometry.bandHeights).toEqual([0.2]);
	});
});
