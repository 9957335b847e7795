/** Fields of the complete electrode model for unit currents. From these every drive and every reading follows
 *  by subtraction, because the problem is linear in the current. */
export interface ForwardField {
	readonly electrodeCount: number;
	/** [L × L] row-major: potential (V) of electrode m while 1 A (per metre of height in 2D) flows into
	 *  electrode l and leaves evenly through all L electrodes: `transfer[l * L + m]`. Symmetric; rows sum to zero. */
	readonly transfer: Float64Array;
	/** [L × nNodes] row-major: potential (V) of each node for the same currents. */
	readonly nodePotentials: Float64Array;
}
