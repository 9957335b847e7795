/** j₀ … j_(degree − 1) at x ≥ 0: upwards where that is stable, else downwards (Miller) and scaled to sin x / x. */
export function sphericalBessel(x: number, into: Float64Array): void {
	const count = into.length;
	if (x === 0) {
		into.fill(0);
		into[0] = 1;
		return;
	}
	if (x > count) {
		into[0] = Math.sin(x) / x;
		if (count > 1) into[1] = (into[0]! - Math.cos(x)) / x;
		for (let p = 1; p + 1 < count; p++) into[p + 1] = ((2 * p + 1) / x) * into[p]! - into[p - 1]!;
		return;
	}
	let above = 0;
	let here = 1e-300;
	for (let p = count + 20 + Math.ceil(x); p > 0; p--) {
		const below = ((2 * p + 1) / x) * here - above;
		above = here;
		here = below;
		if (p - 1 < count) into[p - 1] = here;
		if (Math.abs(here) > 1e200) {
			here *= 1e-250;
			above *= 1e-250;
			for (let k = p - 1; k < count; k++) into[k]! *= 1e-250;
		}
	}
	// sin x / x may vanish, the first two never vanish together
	const zero = Math.sin(x) / x;
	const one = x < 0.1 ? x / 3 - x ** 3 / 30 + x ** 5 / 840 : (zero - Math.cos(x)) / x;
	const scale = count === 1 || Math.abs(zero) > Math.abs(one) ? zero / into[0]! : one / into[1]!;
	for (let p = 0; p < count; p++) into[p]! *= scale;
}
