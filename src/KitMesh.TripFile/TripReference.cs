using System.Text;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Sections;

namespace KitMesh.TripFile;

/// <summary>The page docs/trip-file.md, written from the same keys that the reader uses.</summary>
public static class TripReference
{
    private const string Opening = """
        # The trip file

        YAML that declares teams, dates, places, kit and rules. `kitmesh hub --trip trip.yaml` reads it and reports what is new
        or changed; what has left the file is withdrawn. deploy/trip.example.yaml is one to start from, and
        deploy/trip.schema.json lets an editor complete and check it. This page is written from the reader's own keys.

        - Quantities carry their unit (`280 Ah`), so that Ah and Wh cannot be mixed up; shares are fractions from 0 to 1.
        - Names are what stands on the tape stuck to the thing: 1 to 100 printable characters, unique within their section.
        - Sections may come in any order and, unless required, be left out. Unknown sections and keys are mistakes.
        - Every mistake is shown at once as `file:line: key: what is wrong. How to mend it.`, and nothing of the file is used.
          What looks odd and may be meant (1,280 Ah in 11 kg, a copy rule that no drive can meet, unequal packs in one bank) is
          asked as a question, and the file is used as written.

        Lithium packs can burn; joining unequal packs in parallel can weld or explode; charging below the cell maker's limit
        ruins cells and can start a fire later. The maker's data sheet, the operator's and local rules and licensed people decide.

        In the tables, what stands after a semicolon under "fits" is taken without the key.

        """;

    /// <summary>The page's text.</summary>
    public static string Write()
    {
        var page = new StringBuilder(Opening.ReplaceLineEndings("\n"));
        foreach (Section section in SectionCatalogue.All)
        {
            page.Append('\n').Append("## ").Append(section.Name).Append(section.Required ? " (required)" : "").Append("\n\n");
            page.Append(section.Meaning).Append(section.IsSingle ? "" : " A list.").Append("\n\n");
            page.Append("| key | meaning | fits | example |\n|---|---|---|---|\n");
            foreach (TripKey key in section.Keys)
            {
                page.Append("| `").Append(key.Name).Append('`').Append(key.Required ? " (required)" : "")
                    .Append(" | ").Append(key.Meaning)
                    .Append(" | ").Append(key.Fits)
                    .Append(" | `").Append(key.Sample).Append("` |\n");
            }
        }

        return page.ToString();
    }
}
