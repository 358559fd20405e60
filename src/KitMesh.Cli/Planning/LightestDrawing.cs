using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Outlook.Plan;
using Spectre.Console;

namespace KitMesh.Cli.Planning;

/// <summary>Draws the lightest kit for a person.</summary>
internal static class LightestDrawing
{
    public static void Draw(DataOut output, LightestKit lightest)
    {
        output.Heading(string.Create(CultureInfo.InvariantCulture, $"The lightest of {lightest.Combinations:#,0} combinations, {lightest.Outlooks} outlooks rolled"));
        foreach (LightestGroup group in lightest.Groups)
        {
            if (group.Mass is not { } mass)
            {
                output.Line($"{group.For}: none of the choices is good enough. {group.WouldDo}");
                continue;
            }

            string proven = group.IsProven ? "nothing lighter is good enough" : "lighter ones were not all ruled out";
            output.Line(string.Create(
                CultureInfo.InvariantCulture,
                $"{group.For}: {string.Join(", ", group.Counts.Select(count => $"{count.Count} × {count.Item}"))}: {mass.Value:0.##} kg, chance {group.Chance!.Value.Value * 100:0.0} %; {proven}"));
            Table table = DataOut.Table(">kg", ">Chance", "With");
            foreach (TradeOff point in group.Curve)
            {
                table.AddRow(
                    new Text(point.Mass.Value.ToString("0.##", CultureInfo.InvariantCulture)),
                    new Text((point.Chance.Value * 100).ToString("0.0 '%'", CultureInfo.InvariantCulture)),
                    new Text(string.Join(", ", point.Counts.Select(count => $"{count.Count} × {count.Item}"))));
            }

            output.Draw(table);
        }
    }
}
