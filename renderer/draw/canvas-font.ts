/** The style sheet's family, for text on canvases. */
export const canvasFont = '"Segoe UI", "Helvetica Neue", "Noto Sans", "Liberation Sans", Arial, sans-serif';
