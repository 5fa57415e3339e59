/** What we use of Microsoft's script, at its documented surface. */

declare namespace CustomFunctions {
  function associate(id: string, call: (...given: never[]) => unknown): void;

  class Error {
    constructor(code: string, message?: string);
    readonly code: string;
    readonly message?: string;
  }

  const ErrorCode: Record<
    "invalidValue" | "notAvailable" | "divisionByZero" | "invalidNumber" | "nullReference",
    string
  >;
}

declare namespace Office {
  function onReady(): Promise<{ host: string | null; platform: string | null }>;
}
