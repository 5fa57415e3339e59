"""Ask a running office what its function wizard shows, and end that office. Not a test: no pytest here.

Runs in the office's own Python, started with the name of the pipe that the office listens at.
"""

import json
import sys
import time

import uno
from com.sun.star.connection import NoConnectException

SECONDS_TO_START = 120


def connected(pipe):
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    until = time.monotonic() + SECONDS_TO_START
    while True:
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except NoConnectException:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)


def shown(value):
    if isinstance(value, tuple):
        return [[argument.Name, argument.Description, argument.IsOptional] for argument in value]
    return value


def main(pipe):
    services = connected(pipe).ServiceManager
    # The wizard completes a function when it is chosen; a call of each module's first function does the same.
    services.createInstance("com.sun.star.sheet.FunctionAccess").callFunction("WEAVE.ends", (15.0, 24.0))
    wizard = services.createInstance("com.sun.star.sheet.FunctionDescriptions")
    for number in range(wizard.Count):
        function = {entry.Name: shown(entry.Value) for entry in wizard.getByIndex(number)}
        if function["Name"].startswith("WEAVE."):
            print(json.dumps(function))
    services.createInstance("com.sun.star.frame.Desktop").terminate()


if __name__ == "__main__":
    main(sys.argv[1])
