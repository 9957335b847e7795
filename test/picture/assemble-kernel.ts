/** Assembles `core/picture/kernel/kernel.wat` into the bytes that ship in `kernel-bytes.ts`.
 *  Run `node test/picture/assemble-kernel.ts` after a change of the source; a test fails while the two differ. */
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import loadWabt from "wabt";

const folder = new URL("../../core/picture/kernel/", import.meta.url);

/** @returns what `kernel-bytes.ts` must hold for the present source. */
export async function kernelModuleText(): Promise<string> {
	const wabt = await loadWabt();
	const source = readFileSync(new URL("kernel.wat", folder), "utf8");
	const module = wabt.parseWat("kernel.wat", source, { simd: true });
	module.validate();
	const { buffer } = module.toBinary({});
	module.destroy();
	const lines = Buffer.from(buffer)
		.toString("hex")
		.match(/.{1,100}/g)!
		.map((line) => `\t"${line}",`);
	return [
		"/** Assembled from `kernel.wat` by `node test/picture/assemble-kernel.ts`; do not edit. Hexadecimal bytes. */",
		`export const kernelBytes = [\n${lines.join("\n")}\n].join("");\n`,
	].join("\n");
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
	writeFileSync(new URL("kernel-bytes.ts", folder), await kernelModuleText());
}
