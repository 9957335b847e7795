const minus = 0x2d;
const plus = 0x2b;
const digit0 = 0x30;
const lowerE = 0x65;
const upperE = 0x45;

/** A product or quotient of two doubles that are both exact is rounded once: 15 digits and powers to 10²² are. */
const mostDigits = 15;
const powersOfTen = Float64Array.from({ length: 23 }, (_, exponent) => Number(`1e${exponent}`));

/**
 * The number written in `bytes[start, end)`: a sign, digits, a decimal mark, an exponent, as boards print them
 * (`-1.25`, `.5`, `+3`, `12.`, `1e-3`). NaN for anything else. Allocates only for numbers of more than 15 digits.
 */
export function readDecimal(bytes: Uint8Array, start: number, end: number, decimalMark: number): number {
	let at = start;
	const first = at < end ? bytes[at]! : 0;
	if (first === minus || first === plus) at++;
	let mantissa = 0;
	let digits = 0;
	let fraction = 0;
	let hasMark = false;
	for (; at < end; at++) {
		const digit = bytes[at]! - digit0;
		if (digit >= 0 && digit <= 9) {
			// Zeros in front are no digits of the number.
			if (mantissa > 0 || digit > 0) digits++;
			mantissa = mantissa * 10 + digit;
			if (hasMark) fraction++;
		} else if (bytes[at] === decimalMark && !hasMark) hasMark = true;
		else break;
	}
	const written = at - start - (hasMark ? 1 : 0) - (first === minus || first === plus ? 1 : 0);
	if (written === 0) return Number.NaN;
	let exponent = -fraction;
	if (at < end && (bytes[at] === lowerE || bytes[at] === upperE)) {
		const told = readExponent(bytes, at + 1, end);
		if (Number.isNaN(told)) return told;
		exponent += told;
		at = end;
	}
	if (at !== end) return Number.NaN;
	if (digits > mostDigits || exponent > 22 || exponent < -22) return slowly(bytes, start, end, decimalMark);
	const size = exponent < 0 ? mantissa / powersOfTen[-exponent]! : mantissa * powersOfTen[exponent]!;
	return first === minus ? -size : size;
}

function readExponent(bytes: Uint8Array, start: number, end: number): number {
	let at = start;
	const first = at < end ? bytes[at]! : 0;
	if (first === minus || first === plus) at++;
	if (at === end || end - at > 4) return Number.NaN;
	let value = 0;
	for (; at < end; at++) {
		const digit = bytes[at]! - digit0;
		if (!(digit >= 0 && digit <= 9)) return Number.NaN;
		value = value * 10 + digit;
	}
	return first === minus ? -value : value;
}

/** Correctly rounded whatever its length; called only for what has been found to be a number. */
function slowly(bytes: Uint8Array, start: number, end: number, decimalMark: number): number {
	let text = "";
	for (let at = start; at < end; at++) {
		text += bytes[at] === decimalMark ? "." : String.fromCharCode(bytes[at]!);
	}
	const value = Number(text);
	return Number.isFinite(value) ? value : Number.NaN;
}
