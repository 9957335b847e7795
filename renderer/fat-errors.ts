/** What an error of the fat's thickness does to the values of muscles. */
import type { FatStudy } from "../app/contract.ts";

export interface FatError {
	readonly id: string;
	readonly name: string;
	/** How far the value that is shown is off, as a share of the right one, if the fat is thinner than entered … */
	readonly thinner: number;
	/** … and if it is thicker. */
	readonly thicker: number;
}

/** The right value is what the same readings give with the right fat: the shown one is compared with that. */
export function fatErrors({ regions }: FatStudy): FatError[] {
	return regions.map(({ id, name, means }) => {
		const [less, entered, more] = means as [number, number, number];
		return { id, name, thinner: entered / less - 1, thicker: entered / more - 1 };
	});
}
