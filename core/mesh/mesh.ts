/** Triangles over a limb's cross-section. All lengths in metres, triangles anticlockwise. */
export interface Mesh {
	/** [nNodes × 2] x, y. */
	readonly nodes: Float64Array;
	/** [nTriangles × 3] node numbers. */
	readonly triangles: Uint32Array;
	/** [nTriangles] which of the regions the mesh was made with holds the triangle: 0 for none (background),
	 *  i + 1 for the i-th region. Triangles never straddle a region's outline. */
	readonly regionOf: Uint8Array;
	/** [nEdges × 2] boundary edges under electrodes, anticlockwise. */
	readonly electrodeEdges: Uint32Array;
	/** [nEdges] the electrode over that edge. */
	readonly electrodeOfEdge: Uint16Array;
	readonly electrodeCount: number;
}
