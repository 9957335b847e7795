/** Slow, obvious dense algebra to check the fast one against. Row-major; sizes are given. */

export function transpose(a: Float64Array, rows: number, columns: number): Float64Array {
	return Float64Array.from({ length: a.length }, (_, i) => a[(i % rows) * columns + Math.floor(i / rows)]!);
}

/** A[rows × inner] · B[inner × columns] */
export function multiply(
	a: Float64Array,
	b: Float64Array,
	rows: number,
	inner: number,
	columns: number,
): Float64Array {
	const result = new Float64Array(rows * columns);
	for (let i = 0; i < rows; i++) {
		for (let k = 0; k < inner; k++) {
			const value = a[i * inner + k]!;
			for (let j = 0; j < columns; j++) result[i * columns + j]! += value * b[k * columns + j]!;
		}
	}
	return result;
}

/** Solves A[n × n]·x = b by elimination with partial pivoting. */
export function solve(matrix: Float64Array, vector: Float64Array): Float64Array {
	const n = vector.length;
	const a = matrix.slice();
	const x = vector.slice();
	for (let k = 0; k < n; k++) {
		let pivot = k;
		for (let i = k + 1; i < n; i++) if (Math.abs(a[i * n + k]!) > Math.abs(a[pivot * n + k]!)) pivot = i;
		for (let j = 0; j < n; j++) {
			[a[k * n + j], a[pivot * n + j]] = [a[pivot * n + j]!, a[k * n + j]!];
		}
		[x[k], x[pivot]] = [x[pivot]!, x[k]!];
		for (let i = k + 1; i < n; i++) {
			const share = a[i * n + k]! / a[k * n + k]!;
			if (share === 0) continue;
			for (let j = k; j < n; j++) a[i * n + j]! -= share * a[k * n + j]!;
			x[i]! -= share * x[k]!;
		}
	}
	for (let i = n - 1; i >= 0; i--) {
		for (let j = i + 1; j < n; j++) x[i]! -= a[i * n + j]! * x[j]!;
		x[i]! /= a[i * n + i]!;
	}
	return x;
}

export function norm(values: ArrayLike<number>): number {
	let sum = 0;
	for (let i = 0; i < values.length; i++) sum += values[i]! ** 2;
	return Math.sqrt(sum);
}

/** ‖a − b‖ / ‖b‖ */
export function relativeDifference(a: ArrayLike<number>, b: ArrayLike<number>): number {
	return norm(Float64Array.from(a, (value, i) => value - b[i]!)) / norm(b);
}

/** Numbers in (−1, 1), the same for the same seed (Park & Miller, Commun. ACM 31:1192, 1988). */
export function createRandom(seed: number): () => number {
	let state = seed;
	return () => {
		state = (state * 48271) % 2147483647;
		return (2 * state) / 2147483647 - 1;
	};
}
