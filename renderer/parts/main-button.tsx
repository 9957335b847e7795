import { Icon, type IconName } from "./icon.tsx";
import { useFirstFocus } from "./use-first-focus.ts";

/** The one thing to press next, large; has the focus when it is shown. */
export function MainButton({
	text,
	icon = null,
	isHuge = false,
	isDisabled = false,
	onPress,
}: {
	readonly text: string;
	readonly icon?: IconName | null;
	readonly isHuge?: boolean;
	readonly isDisabled?: boolean;
	readonly onPress: () => void;
}) {
	const button = useFirstFocus<HTMLButtonElement>();
	return (
		<button
			ref={button}
			type="button"
			class={isHuge ? "button button-primary button-huge" : "button button-primary button-large"}
			disabled={isDisabled}
			onClick={onPress}
		>
			{icon !== null && <Icon name={icon} />}
			{text}
		</button>
	);
}
