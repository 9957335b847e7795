import type { Fact } from "../text/how-measured.ts";

export function FactList({ facts }: { readonly facts: readonly Fact[] }) {
	return (
		<dl class="facts">
			{facts.map(({ name, value }) => (
				<>
					<dt key={`${name} name`}>{name}</dt>
					<dd key={name}>{value}</dd>
				</>
			))}
		</dl>
	);
}
