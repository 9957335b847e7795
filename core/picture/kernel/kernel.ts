import { kernelBytes } from "./kernel-bytes.ts";

/** The functions of `kernel.wat`; pointers and strides are bytes into the memory of the same kernel. */
interface KernelFunctions {
	product(matrix: number, x: number, y: number, panels: number, columns: number): void;
	dots(a: number, strideA: number, b: number, length: number, out: number): void;
	combine(w: number, pairs: number, k: number, b: number, strideB: number, c: number, strideC: number): void;
	addTwo(target: number, u: number, v: number, length: number, a: number, b: number): void;
	rotate(
		panel: number,
		panels: number,
		strideP: number,
		last: number,
		rotations: number,
		count: number,
	): void;
}

/** What `core` needs of the WebAssembly interface, which every host has but the ES library does not declare. */
declare const WebAssembly: {
	Memory: new (size: { initial: number }) => { readonly buffer: ArrayBuffer };
	Module: new (bytes: Uint8Array) => object;
	Instance: new (module: object, imports: { env: { memory: object } }) => { readonly exports: unknown };
};

const PAGE_BYTES = 65536;

let compiled: object | null = null;

/** One instance of the kernel with its own memory, never grown, so that views of it stay valid. */
export class Kernel {
	readonly functions: KernelFunctions;
	readonly #buffer: ArrayBuffer;
	#used = 0;

	/** @param bytes how much memory `reserve` may hand out in all, rounding included */
	constructor(bytes: number) {
		compiled ??= new WebAssembly.Module(
			Uint8Array.from(kernelBytes.match(/../g)!, (pair) => Number.parseInt(pair, 16)),
		);
		const memory = new WebAssembly.Memory({ initial: Math.ceil(bytes / PAGE_BYTES) + 1 });
		this.#buffer = memory.buffer;
		this.functions = new WebAssembly.Instance(compiled, { env: { memory } }).exports as KernelFunctions;
	}

	reserveFloat32(length: number): Float32Array {
		return new Float32Array(this.#buffer, this.#take(length * 4), length);
	}

	reserveFloat64(length: number): Float64Array {
		return new Float64Array(this.#buffer, this.#take(length * 8), length);
	}

	/** 64-byte aligned, so that a vector never straddles two cache lines. */
	#take(bytes: number): number {
		const start = this.#used;
		this.#used = Math.ceil((start + bytes) / 64) * 64;
		if (this.#used > this.#buffer.byteLength)
			throw new RangeError("kernel: more reserved than was asked for");
		return start;
	}
}
