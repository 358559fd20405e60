using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.TripFile.Reading;

/// <summary>A choice as it stands in the file, before the item it names is known.</summary>
internal sealed record ChosenEntry(TripEntry Entry, KitId Item, int Least, int Most, double? Mass)
{
    /// <summary>The most combinations that a file may ask for.</summary>
    public const double MostCombinations = 4_000_000;

    /// <summary>Adds the choice, or says what is wrong with it.</summary>
    public static void Resolve(TripLedger ledger)
    {
        double combinations = 1;
        var seen = new HashSet<KitId>();
        foreach (ChosenEntry chosen in ledger.Chosen)
        {
            combinations *= chosen.Most - chosen.Least + 1;
            if (!seen.Add(chosen.Item))
            {
                chosen.Entry.Error("item", $"\"{chosen.Item}\" stands twice among the choices.", "Keep one entry.");
                continue;
            }

            if (combinations > MostCombinations)
            {
                chosen.Entry.Error("most", $"The choices make {combinations:0} combinations.", $"At most {MostCombinations:0} are searched: narrow least and most.");
                return;
            }

            chosen.Add(ledger);
        }
    }

    private void Add(TripLedger ledger)
    {
        KitItem[] items = [.. ledger.Items.Where(item => item.Id == Item && item is (Pack or Panel or Drive))];
        if (items.Length != 1)
        {
            Entry.Error("item", $"\"{Item}\" names {items.Length} things.", "Packs, panels and drives in choices need names of their own.");
            return;
        }

        double? mass = Mass ?? items[0] switch { Pack pack => pack.Mass?.Value, Panel panel => panel.Mass?.Value, _ => null };
        if (mass is not { } kilograms)
        {
            Entry.Error("item", $"Nothing says what \"{Item}\" weighs.", "Add \"mass: 0.2 kg\" here or at the item.");
            return;
        }

        ledger.Choices.Add(new KitChoice(items[0].Kind, Item, Least, Most, new Kilograms(kilograms)));
    }
}
