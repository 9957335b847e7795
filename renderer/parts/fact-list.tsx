import { Fragment } from "preact";
import type { Fact } from "../text/how-measured.ts";

export function FactList({ facts }: { readonly facts: readonly Fact[] }) {
	return (
		<dl class="facts">
			{facts.map(({ name, value }) => (
				<Fragment key={name}>
					<dt>{name}</dt>
					<dd>{value}</dd>
				</Fragment>
			))}
		</dl>
	);
}
