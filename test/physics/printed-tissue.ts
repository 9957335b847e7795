import { dielectricOf, type Tissue } from "../../core/physics/tissue.ts";

/**
 * Hz, conductivity in S/m and relative permittivity as printed in "Electrical exposure analysis of galvanic-coupled
 * intra-body communication…", BioMed. Eng. OnLine 2018, s12938-018-0473-9, table 3. To be compared to one unit of the
 * last digit: its authors rounded the time constants differently.
 */
export const printedTissue: readonly (readonly [Tissue, number, string, string])[] = [
	["muscle", 10e3, "0.3408", "25909"],
	["muscle", 100e3, "0.3619", "8089.2"],
	["fat", 10e3, "0.0238", "1085.3"],
	["fat", 100e3, "0.0244", "92.885"],
	["bone", 10e3, "0.0204", "521.64"],
	["bone", 100e3, "0.0208", "227.64"],
	["skin-dry", 10e3, "0.00020", "1133.6"],
	["skin-dry", 100e3, "0.00045", "1119.2"],
	["skin-wet", 10e3, "0.0029", "29010"],
	["skin-wet", 100e3, "0.0658", "15357"],
];

/** @returns units of the printed conductivity's and permittivity's last digits by which the model is off */
export function lastDigitsOff([tissue, hertz, conductivity, permittivity]: (typeof printedTissue)[number]) {
	const computed = dielectricOf(tissue, hertz);
	const off = (value: number, printed: string): number =>
		Math.abs(value - Number(printed)) * 10 ** (printed.split(".")[1]?.length ?? 0);
	return [off(computed.conductivity, conductivity), off(computed.permittivity, permittivity)] as const;
}
