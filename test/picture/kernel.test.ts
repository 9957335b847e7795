import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { MatrixProducts, RowCombiner } from "../../core/picture/kernel/matrix-products.ts";
import { createStreamingProduct } from "../../core/picture/kernel/streaming-product.ts";
import { kernelModuleText } from "./assemble-kernel.ts";
import { createRandom, multiply, relativeDifference, transpose } from "./plain-algebra.ts";

test("the shipped bytes are what the source assembles to", async () => {
	const shipped = readFileSync(new URL("../../core/picture/kernel/kernel-bytes.ts", import.meta.url), "utf8");
	expect(shipped).toBe(await kernelModuleText());
});

test.each([
	[1, 1],
	[31, 7],
	[32, 208],
	[33, 104],
	[3308, 104],
])("the streaming product of %i × %i equals the plain one", (rows, columns) => {
	const random = createRandom(rows + columns);
	const matrix = Float32Array.from({ length: rows * columns }, random);
	const product = createStreamingProduct(matrix, rows, columns);
	for (let frame = 0; frame < 2; frame++) {
		const x = Float64Array.from({ length: columns }, () => Math.fround(random()));
		product.input.set(x);
		product.run();
		const plain = multiply(transpose(Float64Array.from(matrix), columns, rows), x, rows, columns, 1);
		expect(product.output.length).toBe(rows);
		expect(relativeDifference(product.output, plain)).toBeLessThan(1e-6);
	}
});

test("a matrix with padded rows gives the same product", () => {
	const random = createRandom(5);
	const padded = Float32Array.from({ length: 3 * 48 }, random);
	const tight = Float32Array.from({ length: 3 * 40 }, (_, i) => padded[Math.floor(i / 40) * 48 + (i % 40)]!);
	const products = [createStreamingProduct(padded, 40, 3, 48), createStreamingProduct(tight, 40, 3)];
	for (const product of products) {
		product.input.set([1, -2, 3]);
		product.run();
	}
	expect(Array.from(products[0]!.output)).toEqual(Array.from(products[1]!.output));
});

test("refuses a matrix that is too short for its shape", () => {
	expect(() => createStreamingProduct(new Float32Array(11), 4, 3)).toThrow(RangeError);
});

test.each([
	[1, 3],
	[6, 517],
	[13, 1040],
	[104, 3300],
])("set-up products of %i × %i equal the plain ones", (rows, columns) => {
	const random = createRandom(rows);
	const products = new MatrixProducts(rows, columns);
	const left = Float64Array.from({ length: rows * columns }, random);
	const scale = Float64Array.from({ length: columns }, () => 1 + random());
	const right = left.map((value, i) => value * scale[i % columns]!);
	for (let i = 0; i < rows; i++) {
		products.left.set(left.subarray(i * columns, (i + 1) * columns), i * products.stride);
		products.right.set(right.subarray(i * columns, (i + 1) * columns), i * products.stride);
	}
	const gram = products.symmetricProduct();
	const plain = multiply(left, transpose(right, rows, columns), rows, columns, rows);
	expect(relativeDifference(gram, plain)).toBeLessThan(1e-14);

	const weights = Float64Array.from({ length: rows * rows }, random);
	const combiner = new RowCombiner(rows, columns);
	combiner.rows.set(products.right.subarray(0, rows * products.stride));
	const combined = combiner.combine(weights);
	const wanted = multiply(weights, right, rows, rows, columns);
	const got = Float64Array.from(
		wanted,
		(_, i) => combined[Math.floor(i / columns) * products.stride + (i % columns)]!,
	);
	expect(relativeDifference(got, wanted)).toBeLessThan(1e-7);
});
