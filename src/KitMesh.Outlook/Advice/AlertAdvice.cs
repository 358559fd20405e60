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
            $"{alert.Subject}: {alert.Do}",
            alert.What,
            alert.Weight == AlertWeight.Danger ? question.Now : null,
            null,
            alert.Weight == AlertWeight.Danger ? 1 : 0.6,
            alert.Subject)));

    private static AdviceCategory CategoryOf(string rule) =>
        StartsWithAny(rule, "card", "cop", "clip", "drive", "recheck", "day") ? AdviceCategory.Footage
        : StartsWithAny(rule, "pack", "bank", "charg", "cell") ? AdviceCategory.Energy
        : AdviceCategory.Mesh;

    private static bool StartsWithAny(string rule, params ReadOnlySpan<string> words)
    {
        foreach (string word in words)
        {
            if (rule.StartsWith(word, StringComparison.Ordinal))
            {
                return true;
            }
        }

        return false;
    }
}
