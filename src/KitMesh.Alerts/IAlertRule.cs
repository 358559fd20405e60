using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts;

/// <summary>One condition that someone must know of. Pure: the same inputs give the same findings.</summary>
public interface IAlertRule
{
    /// <summary>The name under which it stands in the catalogue and in reports; never reused for another meaning.</summary>
    string Name { get; }

    /// <summary>How much it asks of people.</summary>
    AlertWeight Weight { get; }

    /// <summary>One line for a person: when it fires.</summary>
    string Summary { get; }

    /// <summary>Whether an alert that no finding mentions is cleared; else it is kept, since nothing new is known.</summary>
    bool ClearsUnmentioned { get; }

    /// <summary>Judges what is known now.</summary>
    /// <param name="inputs">What is known.</param>
    /// <param name="stands">Whether this rule's alert about a subject stands; a standing alert clears later than it fires.</param>
    IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands);
}
