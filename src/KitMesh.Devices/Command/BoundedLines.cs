using System.Text;

namespace KitMesh.Devices.Command;

/// <summary>Lines of a stream, each cut at a bound: a program that never ends its line cannot fill the memory.</summary>
internal sealed class BoundedLines(Stream stream, int maxLine)
{
    private readonly byte[] _buffer = new byte[4096];
    private int _at;
    private int _filled;

    /// <summary>The next line without its end, cut to one byte past the bound so that the cut is seen; null at the end.</summary>
    public async Task<string?> NextAsync(CancellationToken stop)
    {
        var line = new List<byte>();
        bool any = false;
        while (true)
        {
            if (_at == _filled)
            {
                _filled = await stream.ReadAsync(_buffer, stop).ConfigureAwait(false);
                _at = 0;
                if (_filled == 0)
                {
                    return any ? Text(line) : null;
                }
            }

            byte next = _buffer[_at++];
            any = true;
            if (next == '\n')
            {
                return Text(line);
            }

            if (line.Count <= maxLine)
            {
                line.Add(next);
            }
        }
    }

    private static string Text(List<byte> line) => Encoding.UTF8.GetString([.. line]).TrimEnd('\r');
}
