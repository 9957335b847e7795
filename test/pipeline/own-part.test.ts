/** A board may send readings over several bands in one frame: sections are pictured from a band's own. */
import { describe, expect, test } from "vitest";
import { makeModel } from "../../app/pipeline/make-model.ts";
import type { ModelRequest } from "../../app/pipeline/messages.ts";
import { ownReadings } from "../../core/band/board-electrode.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { keepWithout, trustReadings } from "../../core/picture/reading-trust.ts";
import { MIXED_READINGS, mixedConfiguration } from "../session/mixed-band.ts";
import { createVolumeRequest } from "./create-volume-request.ts";

const { limb, band } = createVolumeRequest();
const own = createPattern(16, "adjacent").terminals;
/** By a pattern's four electrodes, so that orders do not matter. */
const ownValue = (at: ArrayLike<number>) => 1e-3 * (1 + Math.abs(at[0]! - at[2]!) + 0.1 * at[3]!);

function requestOf(terminals: Uint16Array, strange: number): ModelRequest {
	const isOwn = new Set(ownReadings({ terminals, electrodeCount: 16 }));
	const values = (factor: number) =>
		Float64Array.from({ length: terminals.length / 4 }, (_, r) =>
			isOwn.has(r) ? factor * ownValue(terminals.subarray(4 * r, 4 * r + 4)) : strange,
		);
	return {
		bandIndex: 0,
		body: { kind: "limb", limb, band: { ...band, electrodeCount: 16, electrodeWidth: 0.015 } },
		electrodeCount: 16,
		terminals,
		noise: values(1e-4),
		rest: null,
		frequencyHertz: 50_000,
		settings: { prior: "diagonal", rule: "noise-figure" },
	};
}

function modelOf(request: ModelRequest) {
	const made = makeModel(request, () => undefined);
	if (!made.ok) throw new Error(JSON.stringify(made.error));
	return made.value.model;
}

describe("a section from a frame that holds readings over two bands", () => {
	const mixed = mixedConfiguration(0).listedTerminals!;
	const request = requestOf(mixed, 7);
	const model = modelOf(request);

	test("is the same as from the band's own readings alone", () => {
		const readings = ownReadings(request);
		expect(readings.length).toBe(208);
		const alone = modelOf(
			requestOf(
				Uint16Array.from(Array.from(readings).flatMap((r) => [...mixed.subarray(4 * r, 4 * r + 4)])),
				0,
			),
		);
		const wholeKernel = createPictureKernel(model);
		const aloneKernel = createPictureKernel(alone);
		const rest = Float64Array.from({ length: MIXED_READINGS }, (_, r) =>
			ownValue(mixed.subarray(4 * r, 4 * r + 4)),
		);
		wholeKernel.setBaseline(rest);
		aloneKernel.setBaseline(Float64Array.from(readings, (r) => rest[r]!));
		// what other bands' readings do must not matter, be they clipped
		const frame = rest.map((value, r) => value * (1 + 0.01 * Math.sin(r)));
		const ownFrame = Float64Array.from(readings, (r) => frame[r]!);
		for (let r = 0; r < frame.length; r++) if (!readings.includes(r)) frame[r] = 8_388_607;
		for (const lost of [[], [3]]) {
			wholeKernel.setTrust(
				lost.length === 0 ? null : trustReadings(model, keepWithout(request as never, lost)),
			);
			aloneKernel.setTrust(
				lost.length === 0
					? null
					: trustReadings(
							alone,
							Float64Array.from(readings, (r) => (mixed.subarray(4 * r, 4 * r + 4).includes(3) ? 0 : 1)),
						),
			);
			wholeKernel.apply(frame);
			aloneKernel.apply(ownFrame);
			expect(Array.from(wholeKernel.values)).toEqual(Array.from(aloneKernel.values));
			expect(Array.from(wholeKernel.regionMeans)).toEqual(Array.from(aloneKernel.regionMeans));
			expect(Math.max(...wholeKernel.regionMeans.map(Math.abs))).toBeGreaterThan(0);
		}
	});

	test("is refused in one sentence where a band lists none of its own", () => {
		const terminals = mixed.filter((_, i) => !ownReadings(request).includes(i >> 2));
		const made = makeModel(requestOf(terminals, 1), () => undefined);
		expect(made).toMatchObject({
			ok: false,
			error: {
				kind: "invalid-argument",
				got: expect.stringContaining("lists no reading of its own electrodes"),
			},
		});
	});

	test("named patterns go as they are", () => {
		expect(modelOf(requestOf(own, 0)).readingCount).toBe(208);
	});
});
