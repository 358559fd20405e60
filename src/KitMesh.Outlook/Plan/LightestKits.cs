using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>Answers which choice of kit is the lightest that is good enough.</summary>
/// <remarks>Banks share nothing, so each is searched by itself, and the drives by themselves; the sum of the lightest is the lightest of all.</remarks>
public static class LightestKits
{
    /// <summary>The most full outlooks of one search, all groups together.</summary>
    public const int MostOutlooks = 200;

    private const int Paths = 2_000;

    /// <summary>The answer.</summary>
    /// <param name="question">Kit and choices.</param>
    public static LightestKit Find(PlanQuestion question)
    {
        ArgumentNullException.ThrowIfNull(question);
        var world = new PlanWorld(question.Kit, question.Seed, question.Doubts);
        List<(string For, KitChoice[] Choices, Func<IEnumerable<KitItem>, double> Chance)> groups = [.. Groups(question, world)];
        var answers = new List<LightestGroup>();
        int outlooks = 0;
        double combinations = 1;
        for (int i = 0; i < groups.Count; i++)
        {
            (string name, KitChoice[] choices, Func<IEnumerable<KitItem>, double> chance) = groups[i];
            combinations *= choices.Aggregate(1.0, (product, choice) => product * (choice.Most - choice.Least + 1));
            int budget = (MostOutlooks - outlooks) / (groups.Count - i);
            answers.Add(Group(name, choices, chance, question, budget, ref outlooks));
        }

        Kilograms? mass = answers.All(answer => answer.Mass is not null) && answers.Count > 0 ? new Kilograms(answers.Sum(answer => answer.Mass!.Value.Value)) : null;
        return new LightestKit(question.ShortLimit, answers.ToValueList(), answers.Count == 0 ? 0 : combinations, outlooks, mass);
    }

    private static IEnumerable<(string For, KitChoice[] Choices, Func<IEnumerable<KitItem>, double> Chance)> Groups(PlanQuestion question, PlanWorld world)
    {
        foreach (IGrouping<KitId, KitChoice> group in question.Extras.Choices.Where(choice => BankOf(choice, question.Kit) is not null).GroupBy(choice => BankOf(choice, question.Kit)!.Value))
        {
            yield return (group.Key.Value, [.. group], kit => world.ShortChance(group.Key, kit, Paths));
        }

        KitChoice[] drives = [.. question.Extras.Choices.Where(choice => choice.Kind == KitKind.Drive)];
        if (drives.Length > 0)
        {
            yield return ("drives", drives, kit => world.Footage(kit) is { } footage ? 1 - footage.RoomLasts.Value : 1);
        }
    }

    internal static KitId? BankOf(KitChoice choice, ValueList<KitItem> kit) => choice.Kind switch
    {
        KitKind.Pack => kit.OfType<Pack>().First(pack => pack.Id == choice.Item).Bank,
        KitKind.Panel => kit.OfType<Panel>().First(panel => panel.Id == choice.Item).Bank,
        _ => null,
    };

    private static LightestGroup Group(
        string name, KitChoice[] choices, Func<IEnumerable<KitItem>, double> chance, PlanQuestion question, int budget, ref int outlooks)
    {
        double Judge(int[] counts) => chance(Take(choices, counts, question.Kit));
        (int[] Counts, double Chance)? best = null;
        bool isProven = true;
        var searches = new List<DominanceSearch>();
        KitChoice[][] variants = [.. Joinable(choices, question.Kit)];
        foreach (KitChoice[] variant in variants)
        {
            var search = new DominanceSearch([.. variant.Select(choice => (choice.Least, choice.Most, choice.Mass.Value))], Judge, KitSums.Of(variant, question.Kit));
            searches.Add(search);
            if (search.Find(question.ShortLimit, Math.Max(1, (budget - 4) / variants.Length)) is { } found)
            {
                isProven &= found.IsProven;
                if (best is not { } known || Mass(choices, found.Counts).Value < Mass(choices, known.Counts).Value)
                {
                    best = (found.Counts, found.Chance);
                }
            }
        }

        outlooks += searches.Sum(search => search.Judged.Count);
        string wouldDo = best is null ? WouldDo(choices, variants, Judge, question.ShortLimit, ref outlooks) : "";
        return new LightestGroup(
            name,
            best is { } lightest ? Counts(choices, lightest.Counts) : [],
            best is { } its ? Mass(choices, its.Counts) : null,
            best is { } one ? new Probability(one.Chance) : null,
            isProven,
            wouldDo,
            Curve(choices, searches));
    }

    private static string WouldDo(KitChoice[] choices, KitChoice[][] variants, Func<int[], double> judge, double limit, ref int outlooks)
    {
        foreach (int times in new[] { 2, 4, 8 })
        {
            foreach (KitChoice[] variant in variants)
            {
                outlooks++;
                int[] counts = [.. variant.Select(choice => choice.Most * times)];
                if (judge(counts) <= limit)
                {
                    return string.Create(
                        CultureInfo.InvariantCulture,
                        $"{times} times the most of everything would do: {string.Join(", ", choices.Zip(counts, (choice, count) => $"{count} {choice.Item}"))} ({Mass(choices, counts).Value:0.#} kg). Less may: widen \"most\" and ask again.");
                }
            }
        }

        return "Not even 8 times the most of everything would do: the need is too great, or something that is no choice here stands in the way (no sun, cells too cold to charge).";
    }

    /// <summary>Packs of different chemistry or cell count are never joined: one list of choices for each kind of pack, with none of the others.</summary>
    private static IEnumerable<KitChoice[]> Joinable(KitChoice[] choices, ValueList<KitItem> kit)
    {
        (Chemistry, int)? Sort(KitChoice choice) => choice.Kind == KitKind.Pack && kit.OfType<Pack>().First(pack => pack.Id == choice.Item) is { } pack ? (pack.Chemistry, pack.Series) : null;
        (Chemistry, int)?[] sorts = [.. choices.Select(Sort).Where(sort => sort is not null).Distinct()];
        return sorts.Length <= 1
            ? [choices]
            : sorts.Select(sort => choices.Select(choice => Sort(choice) is { } its && its != sort ? choice with { Least = 0, Most = 0 } : choice).ToArray());
    }

    private static IEnumerable<KitItem> Take(KitChoice[] choices, int[] counts, IEnumerable<KitItem> kit)
    {
        for (int i = 0; i < choices.Length; i++)
        {
            kit = KitCounts.With(kit, choices[i].Item, choices[i].Kind, counts[i]);
        }

        return kit;
    }

    private static Kilograms Mass(KitChoice[] choices, int[] counts) => new(choices.Select((choice, at) => choice.Mass.Value * counts[at]).Sum());

    private static ValueList<ItemCount> Counts(KitChoice[] choices, int[] counts) => choices.Select((choice, at) => new ItemCount(choice.Item, counts[at])).ToValueList();

    private static ValueList<TradeOff> Curve(KitChoice[] choices, List<DominanceSearch> searches)
    {
        var curve = new List<TradeOff>();
        foreach ((int[] counts, double kilograms, double chance) in searches.SelectMany(search => search.Judged).OrderBy(judged => judged.Kilograms).ThenBy(judged => judged.Chance))
        {
            if (curve.Count == 0 || chance < curve[^1].Chance.Value)
            {
                curve.Add(new TradeOff(new Kilograms(kilograms), new Probability(chance), Counts(choices, counts)));
            }
        }

        return curve.ToValueList();
    }
}
