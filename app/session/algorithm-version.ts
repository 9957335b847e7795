/** Stored with everything that is computed from readings. Raised whenever the same readings would give other region
 *  means, so that old and new ones are never mistaken for each other. */
export const ALGORITHM_VERSION = "3";
