/** Small line drawings that stand beside words, never instead of them. */
const paths = {
	record: "M8 3.5a4.5 4.5 0 1 0 0 9 4.5 4.5 0 0 0 0-9Z",
	stop: "M4 4h8v8H4Z",
	play: "M5 3.2v9.6L13 8Z",
	pause: "M4.5 3.5h2.4v9H4.5Zm4.6 0h2.4v9H9.1Z",
	check: "M2.8 8.4 6.4 12l6.8-7.6",
	caution: "M8 2.2 14.6 13.6H1.4ZM8 6.4v3.4m0 1.7v.6",
	info: "M8 1.8a6.2 6.2 0 1 0 0 12.4A6.2 6.2 0 0 0 8 1.8Zm0 5.4v4m0-6.6v.6",
	left: "M10 3 5 8l5 5",
	right: "m6 3 5 5-5 5",
	up: "m3 10 5-5 5 5",
	down: "m3 6 5 5 5-5",
	add: "M8 3v10M3 8h10",
	sound: "M2.5 6v4h2.4l3.3 2.8V3.2L4.9 6ZM10.6 5.6a3.4 3.4 0 0 1 0 4.8m1.9-6.9a6.2 6.2 0 0 1 0 9",
	silent: "M2.5 6v4h2.4l3.3 2.8V3.2L4.9 6Zm8.1.3 3.4 3.4m0-3.4-3.4 3.4",
	lock: "M4 7.2h8v6H4Zm1.8 0V5.1a2.2 2.2 0 0 1 4.4 0v2.1",
	file: "M4 1.8h5l3.2 3.2v9.2H4ZM9 1.8V5h3.2",
	refresh: "M13 8a5 5 0 1 1-1.5-3.6M13 2.4v2.9h-2.9",
	rest: "M2 11c2.4 0 2.4-6 4.2-6S8.4 11 10 11h4",
} as const;

const filled: readonly IconName[] = ["record", "stop", "play", "pause"];

export type IconName = keyof typeof paths;

export function Icon({ name }: { readonly name: IconName }) {
	return (
		<svg class="icon" viewBox="0 0 16 16" aria-hidden="true" focusable="false">
			<path
				d={paths[name]}
				fill={filled.includes(name) ? "currentColor" : "none"}
				stroke={filled.includes(name) ? "none" : "currentColor"}
				stroke-width="1.6"
				stroke-linecap="round"
				stroke-linejoin="round"
			/>
		</svg>
	);
}
