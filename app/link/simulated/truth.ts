import type { ExerciseName, MuscleId } from "./exercises.ts";

/** What became of a frame's line on its way. */
export type LineFate = "sent" | "corrupted" | "dropped";

/** What was really so when a frame was taken: written beside the frames, never sent to the host. */
export interface FrameTruth {
	readonly bandIndex: number;
	readonly sequence: number;
	/** Since the board's start, µs, not wrapped. */
	readonly timeMicros: number;
	readonly line: LineFate;
	/** Null at rest. */
	readonly exercise: ExerciseName | null;
	readonly repetition: number | null;
	/** Share of full engagement. */
	readonly activation: Readonly<Record<MuscleId, number>>;
	/** Conductivity against rest, S/m: engagement, fluid that comes with work, and slow drift together. */
	readonly change: Readonly<Record<MuscleId, number>>;
	/** How far the band has slipped along the skin, mm. */
	readonly slipMillimetre: number;
	/** How far the second band has slid along the limb towards the knee, mm. */
	readonly slideMillimetre: number;
	/** Largest contact impedance of any electrode, and which electrode (from 0) has it. */
	readonly worstContactOhm: number;
	readonly worstElectrode: number;
}
