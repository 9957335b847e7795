/**
 * The sign that each reading has on a uniform disc with point electrodes, evenly spaced: 1 or -1.
 * U at an angle, for a current into one point of the rim and out of another, goes with ln(d_out / d_in), d the chords
 * to them (potential of a pair of poles on an insulated disc; worked in Isaacson, IEEE Trans. Med. Imaging 5:91, 1986,
 * as a sum over modes). A reading whose pair includes a driven electrode counts that chord as half a pitch.
 *
 * @param terminals [4 × readings] source, sink, plus, minus
 */
export function signsOnDisc(terminals: Uint16Array, electrodeCount: number): Int8Array {
	const signs = new Int8Array(terminals.length / 4);
	for (let i = 0; i < signs.length; i++) {
		const [source, sink, plus, minus] = terminals.subarray(4 * i, 4 * i + 4) as unknown as [
			number,
			number,
			number,
			number,
		];
		const potential = (at: number) =>
			Math.log(chord(at - sink, electrodeCount) / chord(at - source, electrodeCount));
		signs[i] = potential(plus) - potential(minus) >= 0 ? 1 : -1;
	}
	return signs;
}

function chord(steps: number, electrodeCount: number): number {
	return Math.abs(Math.sin((Math.PI * (steps === 0 ? 0.5 : steps)) / electrodeCount));
}
