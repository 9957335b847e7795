const RADIUS = 44;
const AROUND = 2 * Math.PI * RADIUS;

/** Whole seconds left, in a ring that runs empty. */
export function CountdownRing({
	secondsLeft,
	secondsOf,
}: {
	readonly secondsLeft: number;
	readonly secondsOf: number;
}) {
	const share = secondsOf > 0 ? Math.min(1, Math.max(0, secondsLeft / secondsOf)) : 0;
	return (
		<svg class="ring" viewBox="0 0 100 100" role="img" aria-label={`${Math.ceil(secondsLeft)} s`}>
			<circle class="ring-way" cx="50" cy="50" r={RADIUS} />
			<circle
				class="ring-left"
				cx="50"
				cy="50"
				r={RADIUS}
				stroke-dasharray={`${(share * AROUND).toFixed(2)} ${AROUND.toFixed(2)}`}
				transform="rotate(-90 50 50)"
			/>
			<text class="ring-number figures" x="50" y="51">
				{Math.ceil(secondsLeft)}
			</text>
		</svg>
	);
}
