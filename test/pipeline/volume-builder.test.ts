import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { buffersOf } from "../../app/pipeline/buffers-of.ts";
import { createVolumeBuilder, type VolumeBuilder } from "../../app/pipeline/volume-builder.ts";
import { VOLUME_ALGORITHM } from "../../app/pipeline/volume-version.ts";
import { createVolumeRequest } from "./create-volume-request.ts";

const workerFile = new URL("../../app/pipeline/volume-worker.ts", import.meta.url);
/** S/m for each Ω of noise, by region: what the model below came to when its version was set. */
const NOISE_OF: Readonly<Record<string, readonly number[]>> = {
	"volume-6": [0.341, 0.199, 0.205, 0.494, 0.063, 0.12],
};

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
		const given = await builder.build(createVolumeRequest(), () => controller.abort(), controller.signal);
		expect(given).toEqual({ ok: false, error: { kind: "cancelled" } });
		expect(await builder.build(createVolumeRequest(), () => {}, controller.signal)).toEqual(given);
		await builder.dispose();
		expect(readdirSync(folder)).toEqual([]);
	});

	test("makes a model step by step, keeps it, and finds it again", async () => {
		const shares: number[] = [];
		// Two at once, as two starts of the app on one folder.
		const [made, twin] = await Promise.all([
			builder.build(createVolumeRequest(), (_, share) => shares.push(share), never),
			builder.build(createVolumeRequest(), () => {}, never),
		]);
		if (!made.ok) throw new Error(JSON.stringify(made.error));
		expect(twin).toEqual(made);
		expect(made.value.wasKept).toBe(false);
		expect(shares).toEqual([...shares].sort((a, b) => a - b));
		expect(shares.length).toBeGreaterThan(4);
		expect(readdirSync(folder)).toHaveLength(1);

		const { geometry, model, modelRest, noisePerOhm, regions } = made.value;
		expect(
			Array.from(noisePerOhm, (noise) => Number(noise.toPrecision(3))),
			"another model for the same request: raise VOLUME_ALGORITHM, or old ones are used from disk, and put it here",
		).toEqual(NOISE_OF[VOLUME_ALGORITHM]);
		const nodes = geometry.nodesPerLevel * geometry.levels.length;
		expect(geometry.nodes).toHaveLength(2 * nodes);
		expect(model.matrix.rowCount).toBe(nodes + regions.length);
		expect(modelRest).toHaveLength(model.readingCount);
		expect(noisePerOhm).toHaveLength(regions.length);
		expect(geometry.bandHeights).toEqual([0.2, 0.15]);
		expect(geometry.electrodeCounts).toEqual([8, 8]);
		expect(new Set(geometry.electrodeOfFace).size).toBe(16);

		const found = await builder.build(createVolumeRequest(), () => {}, never);
		if (!found.ok) throw new Error(JSON.stringify(found.error));
		expect(found.value.wasKept).toBe(true);
		expect({ ...found.value, wasKept: false }).toEqual(made.value);
		for (const { value } of [made, found]) {
			const moved = buffersOf(value.model);
			expect(moved).not.toContain(value.modelRest.buffer);
			expect(moved).not.toContain(value.noisePerOhm.buffer);
		}
		expect(readdirSync(folder)).toHaveLength(1);
	});

	test("says in a sentence what cannot be", async () => {
		const request = createVolumeRequest({
			places: [
				{ aboveKnee: 0.2, circumference: 0.5 },
				{ aboveKnee: 0.19, circumference: 0.49 },
			],
		});
		expect(await builder.build(request, () => {}, never)).toEqual({
			ok: false,
			error: expect.objectContaining({ kind: "invalid-argument", got: expect.stringContaining("overlap") }),
		});
		const tooMany = createVolumeRequest({ terminals: new Uint16Array(4 * 3712) });
		expect(await builder.build(tooMany, () => {}, never)).toMatchObject({
			ok: false,
			error: { kind: "invalid-argument", got: expect.stringContaining("3712 readings") },
		});
	});
});
