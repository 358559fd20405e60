namespace KitMesh.Export.Page;

/// <summary>The style of a printed account: black on white, system fonts, A4 and letter alike.</summary>
internal static class PageStyle
{
    internal const string Css = """

        :root { color-scheme: light; }
        body { font: 15px/1.45 system-ui, sans-serif; color: #111; background: #fff; max-width: 60rem; margin: 0 auto; padding: 1rem; }
        h1 { font-size: 1.6rem; margin: 0 0 .3rem; } h2 { font-size: 1.2rem; margin: 1.8rem 0 .4rem; border-bottom: 2px solid #111; }
        h3 { font-size: 1rem; margin: 1rem 0 .3rem; } p { margin: .3rem 0; } .small { font-size: .85rem; color: #333; }
        .wide { overflow-x: auto; } table { border-collapse: collapse; margin: .4rem 0; font-variant-numeric: tabular-nums; font-size: .88rem; }
        th, td { border-bottom: 1px solid #999; padding: .15rem .5rem; text-align: left; vertical-align: top; }
        th { border-bottom: 2px solid #111; } .n { text-align: right; } td.n { white-space: nowrap; } .t { white-space: nowrap; } tfoot td { font-weight: bold; }
        figure { margin: .5rem 0; } svg { max-width: 100%; height: auto; } figure > svg { display: block; width: 100%; } svg text { font: 11px system-ui, sans-serif; fill: #111; }
        figcaption { font-size: .85rem; } .key { display: inline-block; margin-right: .9rem; }
        .grid { stroke: #ccc; stroke-width: 1; } .spread { fill: #fff; fill-opacity: 0; stroke: #111; stroke-width: 1; stroke-dasharray: 3 2; }
        .middle { stroke: #111; stroke-width: 2; } .none { fill: #666; }
        .a { fill: #c98b00; } .b { fill: #1f5fa8; } .c { fill: #111; } .d { fill: #d9d9d9; stroke: #111; stroke-width: .7; }
        .e { fill: #fff; stroke: #111; stroke-width: 1.2; } .f { fill: #7a7a7a; }
        ol li { margin: .25rem 0; } .number { font-weight: bold; }
        @page { margin: 14mm 12mm; }
        @media print {
          body { font-size: 10pt; max-width: none; padding: 0; } h2, h3 { break-after: avoid; } figure, tr, li { break-inside: avoid; }
          thead { display: table-header-group; } tfoot { display: table-row-group; } .wide { overflow: visible; } table { font-size: 8.5pt; } th, td { padding: .1rem .3rem; }
          * { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
        }

        """;
}
