import tseslint from "typescript-eslint";

const clock = [
  { selector: "NewExpression[callee.name='Date']", message: "The kernel knows no clock: take `now` as an argument." },
];

export default tseslint.config(
  { ignores: ["dist/**", "node_modules/**", "checks/**"] },
  ...tseslint.configs.recommended,
  {
    files: ["src/**/*.ts", "src/**/*.tsx", "tests/**/*.ts", "tests/**/*.tsx"],
    rules: {
      "@typescript-eslint/no-explicit-any": "error",
      "@typescript-eslint/no-non-null-assertion": "off",
      "@typescript-eslint/no-unused-vars": ["error", { argsIgnorePattern: "^_", varsIgnorePattern: "^_", destructuredArrayIgnorePattern: "^_" }],
      eqeqeq: ["error", "always", { null: "ignore" }],
    },
  },
  {
    files: ["src/kernel/**/*.ts"],
    rules: {
      "no-restricted-globals": ["error", "Date", "window", "document", "navigator", "crypto", "fetch", "setTimeout", "performance"],
      "no-restricted-properties": [
        "error",
        { object: "Math", property: "random", message: "The kernel is deterministic." },
        { object: "Math", property: "exp", message: "Not equal to the bit in two languages: use shipped powers." },
        { object: "Math", property: "log", message: "Not equal to the bit in two languages." },
        { object: "Math", property: "pow", message: "Not equal to the bit in two languages." },
      ],
      "no-restricted-syntax": ["error", ...clock],
    },
  },
);
