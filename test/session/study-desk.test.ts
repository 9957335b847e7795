import { rmSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { AppState } from "../../app/contract.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";
import { createThighReadings, type ThighReadings } from "./thigh-readings.ts";

let thigh: ThighReadings;
let scene: OpenBackend;
let frame = 0;

function play(readings: Float64Array, seconds: number): void {
	for (let i = 0; i < Math.round(seconds * 30); i++) {
		frame++;
		scene.source.frame(
			readings.map((value, r) => value * (1 + 5e-4 * Math.sin(1e4 * Math.sin(frame * 208 + r)))),
		);
	}
}

const isReady = ({ picture, baseline }: AppState): boolean => picture.state === "ready" && baseline !== null;

/** Waits for another model than the one in use. */
async function another(act: () => Promise<unknown>): Promise<void> {
	const { picture } = scene.backend.state();
	const before = picture.state === "ready" ? picture.geometryId : 0;
	await act();
	await scene.until(({ picture: next }) => next.state === "ready" && next.geometryId !== before);
}

/** One walk: each step goes on from the one before. */
describe("studies of what a band sees", () => {
	beforeAll(async () => {
		thigh = createThighReadings();
		scene = openBackend();
		await scene.until(({ link }) => link.state === "waiting-for-board");
	});

	afterAll(async () => {
		await scene.close();
		rmSync(scene.folder, { recursive: true, force: true });
	});

	test("need no band for what one would see, and say that its noise is not known", async () => {
		const { limb, band } = scene.backend.state().setup;
		const study = await scene.ask("studyBand", { limb, band, towards: "front" });
		expect(study.knowsNoise).toBe(false);
		for (const figures of Object.values(study.merit)) expect(figures).toHaveLength(study.place.length);
		expect(study.regions.map(({ signalToNoise }) => signalToNoise)).toEqual(study.regions.map(() => null));
		const { geometry, values } = study.map;
		expect(values).toHaveLength(geometry.nodes.length / 2);
		expect(Math.max(...values)).toBeLessThanOrEqual(0);
		// Readings hardly know of the middle: a hundredth and less of what they know of the skin.
		const middle = values.filter(
			(_, node) => Math.hypot(geometry.nodes[2 * node]!, geometry.nodes[2 * node + 1]!) < 0.02,
		);
		expect(Math.max(...middle)).toBeLessThan(-1.5);
		// The same asked again is not computed again, and comes in no time.
		expect(await scene.ask("studyBand", { limb, band, towards: "front" })).toBe(study);
		expect(await scene.backend.request("getStrength", null)).toMatchObject({
			ok: false,
			error: { kind: "no-baseline" },
		});
	});

	test("say what 3 mm of fat do to every region", async () => {
		const { limb, band } = scene.backend.state().setup;
		const { fatThickness, regions } = await scene.ask("studyFat", { limb, band });
		expect(fatThickness.map((m) => Math.round(1e3 * (m - limb.fatThickness)))).toEqual([-3, 0, 3]);
		// The same readings through more fat mean a larger change beneath it.
		for (const { means } of regions) {
			expect(means[2]! / means[1]!).toBeGreaterThan(1.05);
			expect(means[0]! / means[1]!).toBeLessThan(0.95);
		}
		const refused = await scene.backend.request("studyFat", { limb: { ...limb, fatThickness: 0.06 }, band });
		expect(refused).toMatchObject({ ok: false, error: { kind: "invalid-argument" } });
	});

	test("are given up when nobody waits for them, and the next one is answered", async () => {
		const { limb, band } = scene.backend.state().setup;
		const abort = new AbortController();
		const given = scene.backend.request("studyBand", { limb, band, towards: "back" }, abort.signal);
		abort.abort();
		expect(await given).toMatchObject({ ok: false, error: { kind: "cancelled" } });
		const level = { ...limb, level: limb.level + 0.1 };
		expect((await scene.ask("studyFat", { limb: level, band })).fatThickness).toHaveLength(3);
	});

	test("tell how the live picture's strength was chosen and show it at another", async () => {
		scene.source.announce();
		play(thigh.rest, 2);
		await scene.until(isReady);
		const measured = await scene.ask("getStrength", null);
		const { curve, lambda, choices } = measured;
		expect(lambda).toBeCloseTo(choices[measured.rule], 12);
		expect(measured.lambdaByHand).toBeNull();
		for (const column of Object.values(curve)) expect(column).toHaveLength(curve.lambda.length);

		play(thigh.tensed("rectus-femoris"), 0.2);
		const same = await scene.ask("tryStrength", { lambda, frame: "newest" });
		const peak = Math.max(...same.inUse.nodeValues.map(Math.abs));
		for (const [node, value] of same.tried.nodeValues.entries()) {
			expect(Math.abs(value - same.inUse.nodeValues[node]!)).toBeLessThan(1e-3 * peak);
		}
		// The picture on the screen is the one that is said to be in use.
		const shown = scene.untilPicture(({ regionMeans }) => regionMeans[0]! < -0.01);
		play(thigh.tensed("rectus-femoris"), 0.2);
		expect(same.inUse.regionMeans[0]! / (await shown).regionMeans[0]!).toBeCloseTo(1, 1);
		play(thigh.rest, 0.2);
		const smoother = await scene.ask("tryStrength", { lambda: 10 * lambda, frame: "same" });
		expect(smoother.inUse).toEqual(same.inUse);
		const squares = (values: readonly number[]) => values.reduce((sum, value) => sum + value * value, 0);
		expect(squares(smoother.tried.nodeValues)).toBeLessThan(0.7 * squares(smoother.inUse.nodeValues));
		expect(smoother.geometryId).toBe(measured.geometryId);
	});

	test("keep a strength that was set by hand, and allowed movement, with the session for its replay", async () => {
		const byHand = { prior: "diagonal", rule: "gcv", lambdaByHand: 0.05, allowsMovement: true } as const;
		await another(() => scene.ask("setPrior", byHand));
		const chosen = await scene.ask("getStrength", null);
		expect(chosen).toMatchObject({ rule: "gcv", lambdaByHand: 0.05, lambda: 0.05 });
		expect(chosen.choices.gcv).not.toBeCloseTo(0.05, 4);
		const { sessionId } = await scene.ask("startRecording", { title: "" });
		play(thigh.rest, 1);
		await scene.ask("stopRecording", null);

		await another(() => scene.ask("setPrior", { prior: "diagonal", rule: "noise-figure" }));
		expect(await scene.ask("getStrength", null)).toMatchObject({ lambdaByHand: null });
		const { measured } = await scene.ask("getSessionReview", { sessionId });
		expect(measured.pictures).toEqual([
			expect.objectContaining({ rule: "gcv", lambda: 0.05, lambdaByHand: 0.05, allowsMovement: true }),
		]);
		const shown = scene.backend.state().picture;
		await scene.ask("openReplay", { sessionId });
		const { picture } = await scene.until(
			({ picture: next }) =>
				next.state === "ready" && !(shown.state === "ready" && next.geometryId === shown.geometryId),
		);
		const geometryId = picture.state === "ready" ? picture.geometryId : 0;
		expect(await scene.ask("getGeometry", { geometryId })).toMatchObject({
			rule: "gcv",
			lambda: 0.05,
			lambdaByHand: 0.05,
			allowsMovement: true,
		});
	});
});
