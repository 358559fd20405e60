using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts;

/// <summary>What a rule found about one subject.</summary>
/// <param name="Subject">What it is about.</param>
/// <param name="Fires">True when the condition holds, false when it certainly does not.</param>
/// <param name="What">What was seen, with its figures.</param>
/// <param name="Do">What is safe now and what to do next; empty when it does not fire.</param>
public sealed record Finding(KitId Subject, bool Fires, string What, string Do)
{
    /// <summary>Since when the condition holds, where the reports tell: then every hub says the same, also after a restart. Else null.</summary>
    public Instant? Since { get; init; }

    /// <summary>The condition certainly does not hold.</summary>
    /// <param name="subject">What it is about.</param>
    /// <param name="what">What was seen.</param>
    public static Finding Clear(KitId subject, string what) => new(subject, false, what, "");
}
