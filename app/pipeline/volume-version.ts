/** Of everything between a `VolumeRequest` and its model: raised whenever the same request gives another model, so that
 *  none is used that was made before. */
export const VOLUME_ALGORITHM = "volume-6";
