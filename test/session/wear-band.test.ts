import { afterEach, expect, test } from "vitest";
import { firstSource } from "../../app/session/backend.ts";
import type { Sources } from "../../app/session/sources.ts";
import { success } from "../../core/result.ts";
import { createMemorySource } from "./memory-source.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";

let scene: OpenBackend;

afterEach(() => scene.close());

test("a simulated board follows the band to the other leg, and to another person's", async () => {
	const strappedTo: string[] = [];
	const never = () => Promise.reject(new Error("nobody asks for it here"));
	const sources: Sources = {
		playing: () => createMemorySource(Date.now).factory,
		capture: never,
		pathOf: () => null,
		portIdOf: (path) => path,
		asked: { share: new Float64Array(1) },
		listPorts: () => Promise.resolve(success({ ports: [], note: null })),
		find(_choice, { limb }) {
			strappedTo.push(`${limb.side} ${limb.fatThickness}`);
			return success(createMemorySource(Date.now).factory);
		},
	};
	scene = openBackend({ source: { ...firstSource, scenario: "follow-coach" }, sources });
	const plain = { id: null, displayName: null, affectedSide: "right" } as const;
	const person = await scene.ask("savePerson", { ...plain, code: "P-1" });
	const other = await scene.ask("savePerson", { ...plain, code: "P-2" });
	const { limb, band } = scene.backend.state().setup;
	const setUp = (personId: number, side: "left" | "right", fatThickness: number) =>
		scene.ask("setUp", { personId, limb: { ...limb, side, fatThickness }, band });
	await setUp(other.id, "right", 0.02);
	await setUp(person.id, "left", 0.012);
	await setUp(person.id, "right", 0.011);
	strappedTo.length = 0;

	await scene.ask("wearBand", { personId: person.id, side: "left" });
	expect(strappedTo).toEqual(["left 0.012"]);
	// put on anew on the same leg, the board goes on as it is: only rest is taken again
	await scene.ask("wearBand", { personId: person.id, side: "left" });
	expect(strappedTo).toHaveLength(1);
	await scene.ask("enterHome", { personId: other.id, pin: null });
	expect(strappedTo).toEqual(["left 0.012", "right 0.02"]);
});
