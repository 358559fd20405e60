using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;

namespace KitMesh.Alerts.Rules.Packs;

/// <summary>A rule that looks at one pack at a time.</summary>
public abstract class PackRule : IAlertRule
{
    /// <summary>Words that end every warning about lithium packs.</summary>
    protected const string WhoDecides = "The maker's data sheet decides; ask a qualified person when in doubt.";

    /// <inheritdoc/>
    public abstract string Name { get; }

    /// <inheritdoc/>
    public abstract AlertWeight Weight { get; }

    /// <inheritdoc/>
    public abstract string Summary { get; }

    /// <inheritdoc/>
    public bool ClearsUnmentioned => false;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        ArgumentNullException.ThrowIfNull(stands);
        foreach (PackCondition pack in inputs.Packs)
        {
            if (Judge(pack, ChargeLimits.For(pack.Declared), inputs, stands(pack.Reading.Pack)) is { } finding)
            {
                yield return finding;
            }
        }
    }

    /// <summary>Judges one pack; null when too little is known to say anything.</summary>
    /// <param name="pack">The pack.</param>
    /// <param name="limits">Its charge limits.</param>
    /// <param name="inputs">Everything that is known.</param>
    /// <param name="stands">Whether this rule's alert about it stands.</param>
    protected abstract Finding? Judge(PackCondition pack, ChargeLimits limits, AlertInputs inputs, bool stands);

    /// <summary>Whether cells of this chemistry can burn when they are abused.</summary>
    /// <param name="chemistry">The chemistry; an unknown one counts as lithium.</param>
    protected static bool IsLithium(Chemistry chemistry) => chemistry is not (Chemistry.LeadAcid or Chemistry.NiMh);
}
