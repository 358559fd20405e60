using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Advice;

/// <summary>Alerts that ask somebody to do something become advice; alerts that are only good to know do not.</summary>
internal static class AlertAdvice
{
    public static IEnumerable<RankedAdvice> From(AdviceQuestion question) => question.Alerts
        .Where(alert => alert.Weight != AlertWeight.Know)
        .Select(alert => new RankedAdvice(new Domain.Results.Advice(
            $"alert/{alert.Rule}/{alert.Subject}",
            alert.Weight == AlertWeight.Danger ? AdviceCategory.Safety : CategoryOf(alert.Rule),
            alert.Do,
            $"{alert.Subject}: {alert.What}",
            alert.Weight == AlertWeight.Danger ? question.Now : null,
            null,
            alert.Weight == AlertWeight.Danger ? 1 : 0.6,
            alert.Subject)));

    private static AdviceCategory CategoryOf(string rule) =>
        rule.StartsWith("card", StringComparison.Ordinal) || rule.StartsWith("cop", StringComparison.Ordinal) || rule.StartsWith("clip", StringComparison.Ordinal) || rule.StartsWith("drive", StringComparison.Ordinal) ? AdviceCategory.Footage
        : rule.StartsWith("pack", StringComparison.Ordinal) || rule.StartsWith("bank", StringComparison.Ordinal) ? AdviceCategory.Energy
        : AdviceCategory.Mesh;
}
