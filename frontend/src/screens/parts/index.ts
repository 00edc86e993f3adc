export { Button, Buttons, LinkButton, type Size, type Tone } from "./button.tsx";
export { CheckField, Choice, FileField, Form, SelectField, TextField } from "./field.tsx";
export { Facts, Grid, List, Row } from "./list.tsx";
export { go, goInstead, to } from "./navigate.ts";
export { BigNumber, Digits, NotKnown, Steps } from "./number.tsx";
export { Columns, Empty, Notice, Page, Reason, Section, Waiting } from "./page.tsx";
export { errorAt, ProblemList } from "./problem.tsx";
export type { Screen, ScreenProps, Session } from "./screen.ts";
export { useSend, useServer, type Answer } from "./use_server.ts";
