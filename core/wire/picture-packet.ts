/**
 * What the app streams to the renderer for every picture: one binary packet, little-endian.
 *
 * | offset | type    | content                                                  |
 * |-------:|---------|----------------------------------------------------------|
 * |      0 | u32     | magic 0x5450_0001 (version in the low half)              |
 * |      4 | u32     | geometry id: which `PictureGeometry` the values belong to |
 * |      8 | u32     | sequence number of the frame                             |
 * |     12 | u16     | band index                                               |
 * |     14 | u16     | flags, see `PictureFlags`                                |
 * |     16 | f64     | device time, µs                                          |
 * |     24 | f64     | when the frame's last byte reached the app, ms since the epoch (latency) |
 * |     32 | u32     | nRegions                                                 |
 * |     36 | u32     | nNodes                                                   |
 * |     40 | f32[]   | region means, S/m, nRegions                              |
 * |      … | f32[]   | conductivity change at the mesh nodes, S/m, nNodes       |
 */
export const PICTURE_PACKET_MAGIC = 0x54500001;
export const PICTURE_PACKET_HEADER_BYTES = 40;

export const PictureFlags = {
	/** From a simulated board, now or when it was recorded. */
	simulated: 1,
	/** Frames were lost just before this one. */
	afterGap: 2,
	/** Part of a replay. */
	replay: 4,
	/** First frame after a jump in a replay or of another board: trends start afresh. */
	restart: 8,
	/** Its numbers belong to a `VolumePictureGeometry`. */
	volume: 16,
	/** First frame that is compared with another rest baseline: lines go on after a gap. */
	newRest: 32,
	/** The same, where the rest that was there has followed a slow drift. */
	followedRest: 64,
} as const;

export interface PicturePacket {
	geometryId: number;
	sequence: number;
	bandIndex: number;
	flags: number;
	timeMicros: number;
	receivedAt: number;
	/** [nRegions] views into the packet. */
	regionMeans: Float32Array;
	/** [nNodes] views into the packet. */
	nodeValues: Float32Array;
}

export function picturePacketBytes(nRegions: number, nNodes: number): number {
	return PICTURE_PACKET_HEADER_BYTES + 4 * (nRegions + nNodes);
}

/** Writes the header; the caller fills the two arrays through `readPicturePacket` or its own views.
 *  @throws RangeError when the buffer's length does not fit the counts. */
export function writePictureHeader(
	buffer: ArrayBuffer,
	header: Omit<PicturePacket, "regionMeans" | "nodeValues"> & { nRegions: number; nNodes: number },
): void {
	if (buffer.byteLength !== picturePacketBytes(header.nRegions, header.nNodes)) {
		throw new RangeError(
			`picture packet: ${buffer.byteLength} bytes for ${header.nRegions} regions and ${header.nNodes} nodes`,
		);
	}
	const view = new DataView(buffer);
	view.setUint32(0, PICTURE_PACKET_MAGIC, true);
	view.setUint32(4, header.geometryId, true);
	view.setUint32(8, header.sequence, true);
	view.setUint16(12, header.bandIndex, true);
	view.setUint16(14, header.flags, true);
	view.setFloat64(16, header.timeMicros, true);
	view.setFloat64(24, header.receivedAt, true);
	view.setUint32(32, header.nRegions, true);
	view.setUint32(36, header.nNodes, true);
}

/** @returns views into `buffer`, or null when it is not a picture packet of this version. */
export function readPicturePacket(buffer: ArrayBuffer): PicturePacket | null {
	if (buffer.byteLength < PICTURE_PACKET_HEADER_BYTES) return null;
	const view = new DataView(buffer);
	if (view.getUint32(0, true) !== PICTURE_PACKET_MAGIC) return null;
	const nRegions = view.getUint32(32, true);
	const nNodes = view.getUint32(36, true);
	if (buffer.byteLength !== picturePacketBytes(nRegions, nNodes)) return null;
	return {
		geometryId: view.getUint32(4, true),
		sequence: view.getUint32(8, true),
		bandIndex: view.getUint16(12, true),
		flags: view.getUint16(14, true),
		timeMicros: view.getFloat64(16, true),
		receivedAt: view.getFloat64(24, true),
		regionMeans: new Float32Array(buffer, PICTURE_PACKET_HEADER_BYTES, nRegions),
		nodeValues: new Float32Array(buffer, PICTURE_PACKET_HEADER_BYTES + 4 * nRegions, nNodes),
	};
}

/** The sequence number of a packet under `view`, without making views of its arrays. */
export function pictureSequence(view: DataView): number {
	return view.getUint32(8, true);
}

/** Moves marks that must not be lost (a gap, a fresh start) from a packet that is skipped to the one sent instead. */
export function inheritPictureMarks(view: DataView, skipped: DataView): void {
	const marks =
		skipped.getUint16(14, true) &
		(PictureFlags.afterGap | PictureFlags.restart | PictureFlags.newRest | PictureFlags.followedRest);
	view.setUint16(14, view.getUint16(14, true) | marks, true);
}
