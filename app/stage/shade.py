"""The shading programs (GLSL 150 core): surfaces, outlines, creases, background, floor.

Software OpenGL runs both sides of every branch, so outlines have a program of their own.

With ``CUT`` defined they discard what a section plane cuts away. That is a program of its own,
because a fragment shader that may discard makes the depth test late, which doubles the cost of
every picture on software OpenGL. With ``MARKS`` defined surfaces wear contact rings: that too is
a program of its own, used only in the small boxes where rings are, since it takes as long again
as all the rest of the shading.
"""

BATCH = 40  # pieces a draw: five vec4 each stay below the 256 every OpenGL 3.2 has
MARKS = 6  # contact rings a picture
MARK_REACH = 44.0  # mm from a contact to its outermost ring

_POSE = f"""#version 150
uniform mat4 sight;
uniform vec4 rows[{3 * BATCH}];
uniform vec4 tint[{BATCH}];   // red, green, blue, gloss
uniform vec4 how[{BATCH}];    // stretch, share faded, line in px (negative: not shown), dyed line
uniform vec2 pixel;           // one pixel in clip units
vec3 placed(vec3 p, float along, int i) {{
    vec4 local = vec4(p.xy, p.z + along * how[i].x, 1.0);
    return vec3(dot(rows[3*i], local), dot(rows[3*i+1], local), dot(rows[3*i+2], local));
}}
vec3 turned(vec3 n, int i) {{
    return vec3(dot(rows[3*i].xyz, n), dot(rows[3*i+1].xyz, n), dot(rows[3*i+2].xyz, n));
}}
"""

SURFACE_VERTEX = (
    _POSE
    + """
uniform vec3 eye; uniform vec3 back; uniform float level;
uniform float ground;
in vec3 position; in vec3 normal; in vec2 tag;
out vec3 world; out vec3 facing; out vec3 toward; out float lift;
flat out vec4 colour; flat out float faded;
void main() {
    int i = int(tag.y + 0.5);
    world = placed(position, tag.x, i);
    facing = turned(normal, i);
    toward = level > 0.5 ? back : normalize(eye - world);
    lift = mix(0.80, 1.0, smoothstep(ground - 20.0, ground + 260.0, world.z));
    colour = tint[i];
    faded = how[i].y * 0.78;
    gl_Position = how[i].z < 0.0 ? vec4(2.0, 2.0, 2.0, 1.0) : sight * vec4(world, 1.0);
}
"""
)

SURFACE_FRAGMENT = f"""#version 150
uniform vec3 light; uniform vec3 half_way; uniform vec3 dye; uniform vec3 fog; uniform float dark;
uniform vec4 marks[{MARKS}]; uniform vec4 mark_colour[{MARKS}]; uniform int mark_count;
uniform vec4 cut; uniform float through;   // 1: only the rings, seen through what hides them
in vec3 world; in vec3 facing; in vec3 toward; in float lift;
flat in vec4 colour; flat in float faded;
out vec4 painted;
void main() {{
#ifdef CUT
    if (dot(cut, vec4(world, 1.0)) > 0.0) discard;
#endif
    vec3 n = normalize(facing);
    float turned = dot(n, toward);
    n *= sign(turned);
    turned = abs(turned);
    float wrapped = max(dot(n, light) * 0.704 + 0.296, 0.0);
    float sky = n.z * 0.5 + 0.5;
    float edge = 1.0 - turned;
    float glint = max(dot(n, half_way), 0.0);
    glint *= glint; glint *= glint; glint *= glint; glint *= glint;   // the 16th power
    float rim = edge * edge * edge * clamp(n.z + 0.2, 0.0, 1.0) * mix(0.10, 0.24, dark);
    float shine = glint * glint * glint * colour.a + rim;
    float inside = mix(mix(0.74, 0.86, dark), 1.0, min(turned * 2.4, 1.0)) * lift;
    vec3 warm = vec3(0.94, 0.96, 1.0) + vec3(0.08, 0.05, -0.03) * sky;
    vec3 c = (colour.rgb * warm * (0.40 + 0.20 * sky + 0.56 * wrapped * wrapped) + shine) * inside;
    c = mix(c, fog, faded);
    float alpha = 1.0;
#ifdef MARKS
    float glow = 0.0;
    for (int i = 0; i < mark_count; i++) {{
        float d = distance(world, marks[i].xyz);
        float ring = smoothstep(0.42, 0.62, abs(fract(d / 10.0) - 0.5) * 2.0);
        float near = max(1.0 - d / {MARK_REACH}, 0.0);
        float share = min(near * (0.35 + 0.6 * ring), 0.95);
        c = mix(c, mark_colour[i].rgb, max(share, through * step(glow, share)));
        glow = max(glow, share);
    }}
    alpha = mix(1.0, glow * 0.9, through);
#endif
#ifdef CUT
    if (!gl_FrontFacing) c = mix(colour.rgb, dye, 0.18) * 0.9;
#endif
    painted = vec4(c, alpha);
}}
"""

OUTLINE_VERTEX = (
    _POSE
    + """
in vec3 position; in vec3 hull; in vec2 tag;
out vec3 world; flat out vec4 manner;
void main() {
    int i = int(tag.y + 0.5);
    world = placed(position, tag.x, i);
    vec3 n = turned(hull, i);
    manner = how[i];
    gl_Position = sight * vec4(world, 1.0);
    vec4 tip = sight * vec4(n, 0.0);
    vec2 d = (tip.xy - gl_Position.xy / gl_Position.w * tip.w) / pixel;
    float size = length(d);
    if (size > 1e-9) gl_Position.xy += d / size * pixel * how[i].z * gl_Position.w;
    if (how[i].z <= 0.0) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
}
"""
)

OUTLINE_FRAGMENT = """#version 150
uniform vec3 ink; uniform vec3 dye; uniform vec3 fog; uniform vec4 cut;
in vec3 world; flat in vec4 manner;
out vec4 painted;
void main() {
#ifdef CUT
    if (dot(cut, vec4(world, 1.0)) > 0.0) discard;
#endif
    painted = vec4(mix(mix(ink, dye, manner.w), fog, manner.y * 0.8), 1.0);
}
"""

CREASE_VERTEX = (
    _POSE
    + """
uniform float reach;   // half the width in px, feather included
uniform vec3 eye; uniform vec3 back; uniform float level;
in vec3 here; in vec3 there; in vec4 edge;   // edge: side, along here, along there, piece
in vec3 left; in vec3 right;                 // normals of the faces that meet
out float across; out vec3 world; flat out vec4 manner;
void main() {
    int i = int(edge.w + 0.5);
    manner = how[i];
    world = placed(here, edge.y, i);
    vec4 a = sight * vec4(world, 1.0);
    vec4 b = sight * vec4(placed(there, edge.z, i), 1.0);
    across = edge.x;
    gl_Position = a;
    vec3 v = level > 0.5 ? back : eye - world;
    // The same direction in the piece's own frame.
    v = rows[3*i].xyz * v.x + rows[3*i+1].xyz * v.y + rows[3*i+2].xyz * v.z;
    bool far_side = max(dot(left, v), dot(right, v)) < 0.0;
    if (far_side || how[i].z < 0.0 || a.w <= 0.0 || b.w <= 0.0) {
        gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
        return;
    }
    vec2 d = (b.xy / b.w - a.xy / a.w) / pixel;
    float size = max(length(d), 1e-6);
    vec2 n = vec2(-d.y, d.x) / size;
    gl_Position.xy += n * edge.x * reach * pixel * a.w;
    gl_Position.z -= 0.00045 * a.w;
}
"""
)

CREASE_FRAGMENT = """#version 150
uniform vec3 ink; uniform vec3 dye; uniform vec3 fog; uniform float strength; uniform float reach;
uniform vec4 cut;
in float across; in vec3 world; flat in vec4 manner;
out vec4 painted;
void main() {
#ifdef CUT
    if (dot(cut, vec4(world, 1.0)) > 0.0) discard;
#endif
    float a = clamp((1.0 - abs(across)) * reach, 0.0, 1.0) * strength;
    painted = vec4(mix(mix(ink, dye, manner.w), fog, manner.y * 0.8), a);
}
"""

BACK_VERTEX = """#version 150
in vec2 corner;
out vec2 spot;
void main() { spot = corner; gl_Position = vec4(corner, 0.9999, 1.0); }
"""

BACK_FRAGMENT = """#version 150
uniform vec3 centre; uniform vec3 rim; uniform vec2 shape; uniform vec2 middle;
in vec2 spot;
out vec4 painted;
void main() {
    float d = length((spot - middle) * shape);
    vec3 c = mix(centre, rim, smoothstep(0.0, 1.45, d));
    float grain = fract(sin(dot(gl_FragCoord.xy, vec2(12.9898, 78.233))) * 43758.5453) - 0.5;
    painted = vec4(c + grain / 255.0, 1.0);
}
"""

FLOOR_VERTEX = """#version 150
uniform mat4 sight; uniform vec3 centre; uniform float half_size;
in vec2 corner;
out vec2 spot;
void main() {
    spot = corner * 0.5 + 0.5;
    gl_Position = sight * vec4(centre + vec3(corner * half_size, 0.0), 1.0);
}
"""

FLOOR_FRAGMENT = """#version 150
uniform sampler2D shadow; uniform sampler2D picture;
uniform vec3 shade; uniform vec3 chalk; uniform vec2 strength;   // of the shadow, of the chalk
in vec2 spot;
out vec4 painted;
void main() {
    float dim = texture(shadow, spot).r * strength.x;
    float line = texture(picture, spot).r * strength.y;
    float alpha = line + dim * (1.0 - line);
    painted = vec4(mix(shade, chalk, line / max(alpha, 1e-4)), alpha);
}
"""
