/** A ball of its own conductivity in a volume. */
export interface Ball {
	/** m */
	readonly center: readonly [x: number, y: number, z: number];
	/** m */
	readonly radius: number;
	/** S/m */
	readonly sigma: number;
}
