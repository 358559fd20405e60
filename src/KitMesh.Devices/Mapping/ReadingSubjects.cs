using KitMesh.Devices.Options;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.Mapping;

/// <summary>The kit names behind the words battery, panel, load and thermometer in one reader of the agent file.</summary>
internal sealed class ReadingSubjects
{
    private static readonly (ReadingTarget Target, string Key)[] Keys =
    [
        (ReadingTarget.Battery, "battery"),
        (ReadingTarget.Panel, "panel"),
        (ReadingTarget.Load, "load"),
        (ReadingTarget.Thermometer, "thermometer"),
    ];

    private readonly Dictionary<ReadingTarget, IReadOnlyList<KitId>> _names = [];

    /// <summary>Reads the four keys; each holds one kit name or a list of them.</summary>
    public static ReadingSubjects Read(OptionMap map)
    {
        var subjects = new ReadingSubjects();
        foreach ((ReadingTarget target, string key) in Keys)
        {
            var names = new List<KitId>();
            foreach (string text in map.Texts(key))
            {
                if (KitId.TryParse(text, out KitId id))
                {
                    names.Add(id);
                }
                else
                {
                    map.AddProblem(key, $"\"{text}\" is no kit name.", $"Use 1 to {KitId.MaxLength} printable characters without blanks at the ends.");
                }
            }

            subjects._names[target] = names;
        }

        return subjects;
    }

    /// <summary>The kit name; null when the agent file names none, so that the value is not reported.</summary>
    public KitId? Find(ReadingTarget target, int index) =>
        _names.TryGetValue(target, out IReadOnlyList<KitId>? names) && index <= names.Count ? names[index - 1] : null;

    /// <summary>Whether the agent file names anything at all.</summary>
    public bool Any => _names.Values.Any(n => n.Count > 0);
}
