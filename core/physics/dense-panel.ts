/** Dense Cholesky of the first `width` rows and the triangular solve of the rest, in place, row-major. Rows and
 *  columns go in pairs, so that each number loaded serves twice. */
export function factorPanel(panels: Float64Array, panel: number, width: number, height: number): boolean {
	for (let i = 0; i < height; i += 2) {
		const a0 = panel + i * width;
		const paired = i + 1 < height;
		const a1 = paired ? a0 + width : a0;
		const before = Math.min(i, width);
		let j = 0;
		for (; j + 1 < before; j += 2) {
			const b0 = panel + j * width;
			const b1 = b0 + width;
			let s00 = panels[a0 + j]!;
			let s01 = panels[a0 + j + 1]!;
			let s10 = panels[a1 + j]!;
			let s11 = panels[a1 + j + 1]!;
			for (let p = 0; p < j; p++) {
				const x0 = panels[a0 + p]!;
				const x1 = panels[a1 + p]!;
				const y0 = panels[b0 + p]!;
				const y1 = panels[b1 + p]!;
				s00 -= x0 * y0;
				s01 -= x0 * y1;
				s10 -= x1 * y0;
				s11 -= x1 * y1;
			}
			const d0 = 1 / panels[b0 + j]!;
			const d1 = 1 / panels[b1 + j + 1]!;
			const below = panels[b1 + j]!;
			s00 *= d0;
			s10 *= d0;
			panels[a0 + j] = s00;
			panels[a0 + j + 1] = (s01 - s00 * below) * d1;
			if (!paired) continue;
			panels[a1 + j] = s10;
			panels[a1 + j + 1] = (s11 - s10 * below) * d1;
		}
		if (i >= width) {
			if (j < before) {
				finishColumn(panels, a0, panel + j * width, j);
				if (paired) finishColumn(panels, a1, panel + j * width, j);
			}
			continue;
		}
		// the corner on the diagonal: i is even, so all columns before it are done
		if (!pivotAt(panels, a0, i)) return false;
		if (!paired) continue;
		finishColumn(panels, a1, a0, i);
		if (i + 1 < width && !pivotAt(panels, a1, i + 1)) return false;
	}
	return true;
}

/** Column j of the row at `a`, given the finished row at `b` of that column's pivot. */
function finishColumn(panels: Float64Array, a: number, b: number, j: number): void {
	let sum = panels[a + j]!;
	for (let p = 0; p < j; p++) sum -= panels[a + p]! * panels[b + p]!;
	panels[a + j] = sum / panels[b + j]!;
}

function pivotAt(panels: Float64Array, a: number, i: number): boolean {
	let pivot = panels[a + i]!;
	for (let p = 0; p < i; p++) pivot -= panels[a + p]! * panels[a + p]!;
	panels[a + i] = Math.sqrt(pivot);
	return pivot > 0;
}

/** Packed lower triangle of `stack` −= B·Bᵀ for the `count` rows of B at `below`; 4 × 2 results at a time, as many as
 *  fit a processor's registers. */
export function subtractOuterProduct(
	panels: Float64Array,
	below: number,
	width: number,
	count: number,
	stack: Float64Array,
	update: number,
): void {
	let i = 0;
	for (; i + 3 < count; i += 4) {
		const a0 = below + i * width;
		const a1 = a0 + width;
		const a2 = a1 + width;
		const a3 = a2 + width;
		const u0 = update + (i * (i + 1)) / 2;
		const u1 = u0 + i + 1;
		const u2 = u1 + i + 2;
		const u3 = u2 + i + 3;
		for (let j = 0; j < i; j += 2) {
			const b0 = below + j * width;
			const b1 = b0 + width;
			let s00 = 0;
			let s01 = 0;
			let s10 = 0;
			let s11 = 0;
			let s20 = 0;
			let s21 = 0;
			let s30 = 0;
			let s31 = 0;
			for (let p = 0; p < width; p++) {
				const y0 = panels[b0 + p]!;
				const y1 = panels[b1 + p]!;
				const x0 = panels[a0 + p]!;
				s00 += x0 * y0;
				s01 += x0 * y1;
				const x1 = panels[a1 + p]!;
				s10 += x1 * y0;
				s11 += x1 * y1;
				const x2 = panels[a2 + p]!;
				s20 += x2 * y0;
				s21 += x2 * y1;
				const x3 = panels[a3 + p]!;
				s30 += x3 * y0;
				s31 += x3 * y1;
			}
			stack[u0 + j]! -= s00;
			stack[u0 + j + 1]! -= s01;
			stack[u1 + j]! -= s10;
			stack[u1 + j + 1]! -= s11;
			stack[u2 + j]! -= s20;
			stack[u2 + j + 1]! -= s21;
			stack[u3 + j]! -= s30;
			stack[u3 + j + 1]! -= s31;
		}
		outerRow(panels, below, width, i, i, stack, u0);
		outerRow(panels, below, width, i + 1, i, stack, u1);
		outerRow(panels, below, width, i + 2, i, stack, u2);
		outerRow(panels, below, width, i + 3, i, stack, u3);
	}
	for (; i < count; i++) outerRow(panels, below, width, i, 0, stack, update + (i * (i + 1)) / 2);
}

/** Row i of the same, from column `from` to its diagonal. */
function outerRow(
	panels: Float64Array,
	below: number,
	width: number,
	i: number,
	from: number,
	stack: Float64Array,
	u: number,
): void {
	const a = below + i * width;
	for (let j = from; j <= i; j++) {
		const b = below + j * width;
		let sum = 0;
		for (let p = 0; p < width; p++) sum += panels[a + p]! * panels[b + p]!;
		stack[u + j]! -= sum;
	}
}
