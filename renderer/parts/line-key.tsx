import { regionInk } from "../draw/region-colour.ts";
import { useModel, useSubscription } from "./model-context.ts";

/** A region's colour on this theme's surfaces. */
export function useInk(trendIndex: number): string {
	const { theme } = useModel();
	useSubscription(theme.onChange);
	const ink = regionInk(trendIndex);
	return theme.isDark ? ink.onDark : ink.onLight;
}

/** A piece of a region's line: its colour and its dash. */
export function LineKey({ trendIndex }: { readonly trendIndex: number }) {
	const ink = useInk(trendIndex);
	return (
		<svg class="line-key" viewBox="0 0 26 8" aria-hidden="true" focusable="false">
			<line
				x1="1"
				y1="4"
				x2="25"
				y2="4"
				stroke={ink}
				stroke-dasharray={regionInk(trendIndex).dash.join(" ")}
			/>
		</svg>
	);
}
