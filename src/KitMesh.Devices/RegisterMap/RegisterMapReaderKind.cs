using KitMesh.Devices.Mapping;
using KitMesh.Devices.Modbus;
using KitMesh.Devices.Options;

namespace KitMesh.Devices.RegisterMap;

/// <summary>Reads any Modbus device whose registers a map file describes.</summary>
public sealed class RegisterMapReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "register-map";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        var problems = new List<OptionProblem>();
        int before = options.Problems.Count;
        ModbusLinkOptions link = ModbusLinkOptions.Read(options);
        TimeSpan interval = PollLoop.Interval(options, TimeSpan.FromSeconds(30));
        ReadingSubjects subjects = ReadingSubjects.Read(options);
        RegisterMapFile? map = Load(options, problems);
        options.Take(problems);
        if (map is null || options.Problems.Count > before)
        {
            return null;
        }

        var read = new RegisterMapOptions(link, interval, map, subjects);
        return context => new RegisterMapReader(name, read, context);
    }

    private static RegisterMapFile? Load(OptionMap options, List<OptionProblem> problems)
    {
        string file = options.FilePath("map", "the register-map file");
        if (file.Length == 0)
        {
            return null;
        }

        try
        {
            return RegisterMapFile.Parse(file, File.ReadAllText(file), problems);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            options.AddProblem("map", $"The file cannot be read: {e.Message}", "Write its path, absolute or from this file's folder.");
            return null;
        }
    }
}
