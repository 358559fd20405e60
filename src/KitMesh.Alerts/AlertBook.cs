using System.Collections.Immutable;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Alerts;

/// <summary>The alerts that stand. Immutable: each step gives a new book and what changed.</summary>
public sealed class AlertBook
{
    /// <summary>The book without alerts.</summary>
    public static readonly AlertBook Empty = new(ImmutableSortedDictionary<(string Rule, KitId Subject), Alert>.Empty);

    private static readonly Comparer<(string Rule, KitId Subject)> KeyOrder = Comparer<(string Rule, KitId Subject)>.Create((a, b) =>
        string.CompareOrdinal(a.Rule, b.Rule) is var byRule and not 0 ? byRule : a.Subject.CompareTo(b.Subject));

    private readonly ImmutableSortedDictionary<(string Rule, KitId Subject), Alert> _standing;

    private AlertBook(ImmutableSortedDictionary<(string Rule, KitId Subject), Alert> standing) =>
        _standing = standing.WithComparers(KeyOrder);

    /// <summary>A book in which alerts stand already: what was kept over a restart.</summary>
    /// <param name="standing">The alerts; of two with one rule and subject the last counts.</param>
    public static AlertBook From(IEnumerable<Alert> standing)
    {
        ArgumentNullException.ThrowIfNull(standing);
        var builder = ImmutableSortedDictionary.CreateBuilder<(string Rule, KitId Subject), Alert>(KeyOrder);
        foreach (Alert alert in standing)
        {
            builder[(alert.Rule, alert.Subject)] = alert;
        }

        return new AlertBook(builder.ToImmutable());
    }

    /// <summary>What stands: heaviest first, then oldest, then by rule and subject.</summary>
    public IReadOnlyList<Alert> Standing =>
        [.. _standing.Values.OrderByDescending(a => a.Weight).ThenBy(a => a.Since)];

    /// <summary>Lets every rule judge the inputs once.</summary>
    /// <param name="rules">The rules.</param>
    /// <param name="inputs">What is known.</param>
    /// <param name="changes">Every alert that was raised, stands or was cleared in this step.</param>
    /// <returns>The book after the step.</returns>
    public AlertBook Step(IEnumerable<IAlertRule> rules, AlertInputs inputs, out IReadOnlyList<AlertChange> changes)
    {
        var builder = _standing.ToBuilder();
        var all = new List<AlertChange>();
        foreach (IAlertRule rule in rules)
        {
            var mentioned = new HashSet<KitId>();
            foreach (Finding finding in rule.Judge(inputs, subject => _standing.ContainsKey((rule.Name, subject))))
            {
                mentioned.Add(finding.Subject);
                Apply(rule, finding, inputs, builder, all);
            }

            if (rule.ClearsUnmentioned)
            {
                ClearOthers(rule, mentioned, builder, all);
            }
        }

        changes = all;
        return new AlertBook(builder.ToImmutable());
    }

    private static void Apply(
        IAlertRule rule,
        Finding finding,
        AlertInputs inputs,
        ImmutableSortedDictionary<(string Rule, KitId Subject), Alert>.Builder builder,
        List<AlertChange> changes)
    {
        (string Name, KitId Subject) key = (rule.Name, finding.Subject);
        bool stood = builder.TryGetValue(key, out Alert? before);
        if (finding.Fires)
        {
            Instant since = finding.Since is { } told ? Instant.Min(told, inputs.Now) : before?.Since ?? inputs.Now;
            var alert = new Alert(rule.Name, finding.Subject, rule.Weight, since, finding.What, finding.Do);
            builder[key] = alert;
            changes.Add(new(alert, stood ? AlertPhase.Stands : AlertPhase.Raised));
        }
        else if (stood)
        {
            builder.Remove(key);
            changes.Add(new(before! with { What = finding.What, Do = "" }, AlertPhase.Cleared));
        }
    }

    private static void ClearOthers(
        IAlertRule rule,
        HashSet<KitId> mentioned,
        ImmutableSortedDictionary<(string Rule, KitId Subject), Alert>.Builder builder,
        List<AlertChange> changes)
    {
        List<Alert> gone = [.. builder.Values.Where(a => a.Rule == rule.Name && !mentioned.Contains(a.Subject))];
        foreach (Alert alert in gone)
        {
            builder.Remove((alert.Rule, alert.Subject));
            changes.Add(new(alert with { Do = "" }, AlertPhase.Cleared));
        }
    }
}
