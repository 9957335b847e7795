/** What a band's battery allows (both limits are our own choice, without a source: gauges of small cells are coarse near
 *  their end). */

/** Below this a person is told to charge soon. */
export const lowBatteryPercent = 15;

/** A band that stops, or is not heard any more, with this or less has run empty. */
export const emptyBatteryPercent = 3;
