import { useEffect, useMemo, useState } from "preact/hooks";
import type { PictureGeometry, SetRecord } from "../../app/contract.ts";
import type { RequestFault } from "../bridge.ts";
import { fineSteps, stepAtLeast } from "../draw/auto-range.ts";
import { magnitudeBelow } from "../draw/magnitude.ts";
import { SMALLEST_RANGE } from "../draw/picture-view.ts";
import { useModel, useSubscription } from "./model-context.ts";

export type SetPicture =
	| { readonly state: "waiting" }
	| { readonly state: "loading" }
	| { readonly state: "failed"; readonly fault: RequestFault }
	| {
			readonly state: "ready";
			readonly geometry: PictureGeometry;
			readonly values: Float32Array;
			readonly frames: number;
			readonly seconds: number;
	  };

type ReadyPicture = Extract<SetPicture, { state: "ready" }>;

export interface AveragePictures {
	of(setId: number): SetPicture;
	/** None is waiting or under way any more. */
	readonly isSettled: boolean;
	/** Ends of the colour scale that all of them share; null before the first. */
	readonly range: number | null;
}

const waiting: SetPicture = { state: "waiting" };
/** Share of nodes that may lie beyond the ends of the scale, as in the live picture. */
const BEYOND = 0.01;

/** The averaged pictures of some sets, asked for one after the other: the app makes one at a time anyway, and the first
 *  is there while the others are still computed. */
export function useAveragePictures(sets: readonly Pick<SetRecord, "id" | "sessionId">[]): AveragePictures {
	const model = useModel();
	useSubscription(model.onChange);
	const { bridge, connection } = model;
	const [pictures, setPictures] = useState<ReadonlyMap<number, SetPicture>>(new Map());
	const key = sets.map(({ id }) => id).join(" ");

	// The key stands for the sets.
	useEffect(() => {
		if (connection !== "open") return;
		const controller = new AbortController();
		const { signal } = controller;
		const geometries = new Map<number, PictureGeometry>();
		const put = (setId: number, picture: SetPicture): void => {
			if (!signal.aborted) setPictures((before) => new Map(before).set(setId, picture));
		};

		async function load({ id: setId, sessionId }: (typeof sets)[number]): Promise<SetPicture> {
			const reply = await bridge.request("getAveragePicture", { sessionId, setId }, signal);
			if (!reply.ok) return { state: "failed", fault: reply.error };
			const { geometryId, nodeValues, frames, seconds } = reply.value;
			let geometry = geometries.get(geometryId);
			if (geometry === undefined) {
				const asked = await bridge.request("getGeometry", { geometryId }, signal);
				if (!asked.ok) return { state: "failed", fault: asked.error };
				geometry = asked.value;
				geometries.set(geometryId, geometry);
			}
			return { state: "ready", geometry, values: Float32Array.from(nodeValues), frames, seconds };
		}

		async function loadAll(): Promise<void> {
			for (const set of sets) {
				put(set.id, { state: "loading" });
				put(set.id, await load(set));
				if (signal.aborted) return;
			}
		}
		setPictures(new Map());
		void loadAll();
		return () => controller.abort();
	}, [bridge, connection, key]);

	return useMemo(() => {
		const of = (setId: number): SetPicture => pictures.get(setId) ?? waiting;
		const ready = sets.map(({ id }) => of(id)).filter((picture) => picture.state === "ready");
		return {
			of,
			isSettled: sets.every(({ id }) => of(id).state === "ready" || of(id).state === "failed"),
			range: ready.length === 0 ? null : sharedRange(ready),
		};
	}, [pictures, key]);
}

function sharedRange(pictures: readonly ReadyPicture[]): number {
	const peak = Math.max(...pictures.map(({ values }) => magnitudeBelow(values, BEYOND)));
	return stepAtLeast(Math.max(peak, SMALLEST_RANGE[pictures[0]!.geometry.unit]), fineSteps);
}
