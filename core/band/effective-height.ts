/**
 * Height (m) of limb that a band's current is taken to spread over when the cross-section stands for the limb: the
 * plane model's current is the band's current divided by this, A per metre. 50 mm suits electrodes 20 to 40 mm high
 * (common practice, no source): above and below the band the current fans out. It scales all readings alike, so it
 * cancels wherever a change is taken relative to its reference.
 */
export const effectiveHeightMetre = 0.05;
