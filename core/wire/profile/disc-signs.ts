/**
 * What each reading is on a uniform disc with evenly spaced point electrodes, up to one factor: ln(d_sink / d_source)
 * at the plus electrode less the same at the minus one, d the chords to the driven electrodes (potential of a pair of
 * poles on an insulated disc; worked in Isaacson, IEEE Trans. Med. Imaging 5:91, 1986, as a sum over modes). A reading
 * whose pair includes a driven electrode counts that chord as half a pitch.
 *
 * @param terminals [4 × readings] source, sink, plus, minus
 */
export function readingsOnDisc(terminals: Uint16Array, electrodeCount: number): Float64Array {
	const readings = new Float64Array(terminals.length / 4);
	for (let i = 0; i < readings.length; i++) {
		const [source, sink, plus, minus] = terminals.subarray(4 * i, 4 * i + 4) as unknown as [
			number,
			number,
			number,
			number,
		];
		const potential = (at: number) =>
			Math.log(chord(at - sink, electrodeCount) / chord(at - source, electrodeCount));
		readings[i] = potential(plus) - potential(minus);
	}
	return readings;
}

/** The sign that each reading has on that disc: 1 or -1. */
export function signsOnDisc(terminals: Uint16Array, electrodeCount: number): Int8Array {
	return Int8Array.from(readingsOnDisc(terminals, electrodeCount), (reading) => (reading >= 0 ? 1 : -1));
}

function chord(steps: number, electrodeCount: number): number {
	return Math.abs(Math.sin((Math.PI * (steps === 0 ? 0.5 : steps)) / electrodeCount));
}
