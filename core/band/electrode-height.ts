/** Height of a band's electrodes along the limb, m, where nobody measured it: they are about 20 to 40 mm high (common
 *  practice, no source). */
export const usualElectrodeHeightMetre = 0.03;
