"""The manifest by which Excel finds the page: an add-in only manifest with custom functions and a task pane.

Elements and their order are those of Microsoft's reference of the manifest; the
functions and the task pane share one runtime, which is the page.
"""

from __future__ import annotations

from urllib.parse import urlsplit
from xml.sax.saxutils import quoteattr

from weavefuncs.addin.web.catalogue import NAMESPACE
from weavefuncs.addin.web.toolchain import WebError

# Never changed: by this Excel knows the add-in again.
IDENTIFIER = "5dea6823-a3ce-41fd-8b49-041c7ed05550"

# Of this kind a manifest needs four numbers.
NUMBERS_OF_VERSION = 4

TEMPLATE = """\
<?xml version="1.0" encoding="UTF-8"?>
<OfficeApp xmlns="http://schemas.microsoft.com/office/appforoffice/1.1"
  xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
  xmlns:bt="http://schemas.microsoft.com/office/officeappbasictypes/1.0"
  xsi:type="TaskPaneApp">
  <Id>{identifier}</Id>
  <Version>{version}</Version>
  <ProviderName>weavefuncs</ProviderName>
  <DefaultLocale>en-US</DefaultLocale>
  <DisplayName DefaultValue="weavefuncs"/>
  <Description DefaultValue="Loom and yarn arithmetic for handweavers, as functions for cells."/>
  <IconUrl DefaultValue={icon32}/>
  <HighResolutionIconUrl DefaultValue={icon64}/>
  <SupportUrl DefaultValue={plain_page}/>
  <AppDomains>
    <AppDomain>{origin}</AppDomain>
  </AppDomains>
  <Hosts>
    <Host Name="Workbook"/>
  </Hosts>
  <Requirements>
    <Sets DefaultMinVersion="1.1">
      <Set Name="SharedRuntime" MinVersion="1.1"/>
    </Sets>
  </Requirements>
  <DefaultSettings>
    <SourceLocation DefaultValue={page}/>
  </DefaultSettings>
  <Permissions>ReadWriteDocument</Permissions>
  <VersionOverrides xmlns="http://schemas.microsoft.com/office/taskpaneappversionoverrides"
    xsi:type="VersionOverridesV1_0">
    <Hosts>
      <Host xsi:type="Workbook">
        <Runtimes>
          <Runtime resid="Page" lifetime="long"/>
        </Runtimes>
        <AllFormFactors>
          <ExtensionPoint xsi:type="CustomFunctions">
            <Script>
              <SourceLocation resid="Script"/>
            </Script>
            <Page>
              <SourceLocation resid="Page"/>
            </Page>
            <Metadata>
              <SourceLocation resid="Metadata"/>
            </Metadata>
            <Namespace resid="Namespace"/>
          </ExtensionPoint>
        </AllFormFactors>
        <DesktopFormFactor>
          <FunctionFile resid="Page"/>
          <ExtensionPoint xsi:type="PrimaryCommandSurface">
            <OfficeTab id="TabHome">
              <Group id="WeaveGroup">
                <Label resid="Label"/>
                <Icon>
                  <bt:Image size="16" resid="Icon16"/>
                  <bt:Image size="32" resid="Icon32"/>
                  <bt:Image size="80" resid="Icon80"/>
                </Icon>
                <Control xsi:type="Button" id="WeaveButton">
                  <Label resid="Label"/>
                  <Supertip>
                    <Title resid="Label"/>
                    <Description resid="Tip"/>
                  </Supertip>
                  <Icon>
                    <bt:Image size="16" resid="Icon16"/>
                    <bt:Image size="32" resid="Icon32"/>
                    <bt:Image size="80" resid="Icon80"/>
                  </Icon>
                  <Action xsi:type="ShowTaskpane">
                    <TaskpaneId>WeavePane</TaskpaneId>
                    <SourceLocation resid="Page"/>
                  </Action>
                </Control>
              </Group>
            </OfficeTab>
          </ExtensionPoint>
        </DesktopFormFactor>
      </Host>
    </Hosts>
    <Resources>
      <bt:Images>
        <bt:Image id="Icon16" DefaultValue={icon16}/>
        <bt:Image id="Icon32" DefaultValue={icon32}/>
        <bt:Image id="Icon80" DefaultValue={icon80}/>
      </bt:Images>
      <bt:Urls>
        <bt:Url id="Page" DefaultValue={page}/>
        <bt:Url id="Script" DefaultValue={script}/>
        <bt:Url id="Metadata" DefaultValue={metadata}/>
      </bt:Urls>
      <bt:ShortStrings>
        <bt:String id="Namespace" DefaultValue="{namespace}"/>
        <bt:String id="Label" DefaultValue="Weaving"/>
      </bt:ShortStrings>
      <bt:LongStrings>
        <bt:String id="Tip" DefaultValue="Look at cloth, and find a function for a cell."/>
      </bt:LongStrings>
    </Resources>
  </VersionOverrides>
</OfficeApp>
"""


def manifest(origin: str, folder: str, version: str, script: str) -> str:
    """Write the manifest.

    Parameters
    ----------
    origin : str
        Where the folder of files will lie, such as ``https://looms.example/tools``.
    folder : str
        Name of the folder of files.
    version : str
        Version of weavefuncs.
    script : str
        The page's script, below the folder; only a runtime of another kind would run it alone.

    Raises
    ------
    WebError
        When the origin is no https address.
    """
    base = f"{checked(origin)}/{folder}"
    files = {
        "icon16": "icons/icon-16.png",
        "icon32": "icons/icon-32.png",
        "icon64": "icons/icon-64.png",
        "icon80": "icons/icon-80.png",
        "metadata": "metadata.json",
        "page": "index.html?in=excel",
        "plain_page": "index.html",
        "script": script,
    }
    parts = urlsplit(base)
    return TEMPLATE.format(
        identifier=IDENTIFIER,
        version=_four_numbers(version),
        namespace=NAMESPACE,
        origin=f"{parts.scheme}://{parts.netloc}",
        **{name: quoteattr(f"{base}/{file}") for name, file in files.items()},
    )


def checked(origin: str) -> str:
    """Return the address under which the folder will lie, without a stroke at its end.

    Raises
    ------
    WebError
        When it is no https address, or has a query, a fragment or a user in it.
    """
    try:
        parts = urlsplit(origin)
        plain = parts.scheme == "https" and parts.hostname and "@" not in parts.netloc
        plain = plain and not (parts.query or parts.fragment) and parts.port != 0
    except ValueError:
        plain = False
    if not plain or any(sign in origin for sign in " \"'<>\\") or not origin.isascii():
        raise WebError(f"the origin must be an https address such as https://looms.example; got {origin!r}")
    return origin.rstrip("/")


def _four_numbers(version: str) -> str:
    numbers = [part for part in version.split(".") if part.isdigit()][:NUMBERS_OF_VERSION]
    return ".".join([*numbers, *["0"] * (NUMBERS_OF_VERSION - len(numbers))])
