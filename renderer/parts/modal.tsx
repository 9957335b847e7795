import type { ComponentChildren } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";

/** A dialog over the page: the browser keeps the focus inside and gives it back; Escape calls `onClose`. */
export function Modal({
	title,
	isSmall = false,
	onClose,
	children,
}: {
	readonly title: string;
	readonly isSmall?: boolean;
	readonly onClose: () => void;
	readonly children: ComponentChildren;
}) {
	const id = useId();
	const dialog = useRef<HTMLDialogElement>(null);
	useEffect(() => {
		const element = dialog.current;
		if (element !== null && !element.open) element.showModal();
		return () => element?.close();
	}, []);
	return (
		<dialog
			ref={dialog}
			class={isSmall ? "modal modal-small" : "modal"}
			aria-labelledby={id}
			onCancel={(event) => {
				event.preventDefault();
				onClose();
			}}
		>
			<h2 id={id} tabIndex={-1}>
				{title}
			</h2>
			{children}
		</dialog>
	);
}
